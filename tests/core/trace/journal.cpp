#include "trace/journal.hpp"

#include <doctest/doctest.h>

#include <boost/crc.hpp>
#include <cstdio>

#include "base/error.hpp"
#include "scenes.hpp"

using namespace shortedge;

namespace {

/// A line of its body, with a checksum by another library.
std::string sealed(const std::string& body) {
  boost::crc_32_type sum;
  sum.process_bytes(body.data(), body.size());
  char digits[9];
  std::snprintf(digits, sizeof digits, "%08x", sum.checksum());
  return body + ",\"crc\":\"" + digits + "\"}\n";
}
const std::string header = sealed(R"({"n":0,"do":"header","format":"shortedge trace")");
std::string act(int n, const std::string& rest) { return sealed("{\"n\":" + std::to_string(n) + "," + rest); }

std::string damage(const std::string& text) {
  Journal journal;
  try {
    journal.read(text);
  } catch (const FileError& error) {
    return error.what();
  }
  return {};
}

}  // namespace

TEST_CASE("crc32 is the published one") {
  // The check value of CRC-32/ISO-HDLC in every catalogue: of "123456789".
  CHECK(crc32("123456789") == 0xcbf43926u);
  CHECK(crc32("") == 0);
  scenes::Random random(41);
  for (int i = 0; i < 100; ++i) {
    std::string bytes;
    for (int k = random.whole(0, 70); k > 0; --k) bytes += static_cast<char>(random.whole(0, 255));
    boost::crc_32_type sum;
    sum.process_bytes(bytes.data(), bytes.size());
    CHECK(crc32(bytes) == sum.checksum());
  }
}

TEST_CASE("acts are read with their fields") {
  Journal journal;
  const std::string text =
      header +
      act(1, R"("do":"mark","play":"p\u00e9 \"1\"","angle":"e","time":1.25,"x":640.5,"y":-3,"mark":"50, lower hash")") +
      act(2, R"("do":"foot","play":"p2","angle":"e","time":1e-1,"player":"\ud83d\ude00","x":1,"y":2,"at":"foot",)"
             R"("hidden":true)");
  CHECK(journal.read(text + "{\"n\":3") == text.size());
  REQUIRE(journal.acts().size() == 2);
  const Act& mark = journal.acts()[0];
  CHECK(mark.doing == Doing::mark);
  CHECK(journal.texts()[static_cast<std::size_t>(mark.texts[0])] == "p\xc3\xa9 \"1\"");
  CHECK(journal.texts()[static_cast<std::size_t>(mark.texts[2])] == "50, lower hash");
  CHECK(mark.numbers[0] == 1.25);
  CHECK(mark.numbers[1] == 640.5);
  CHECK(mark.numbers[2] == -3);
  CHECK(std::isnan(mark.numbers[3]));
  const Act& foot = journal.acts()[1];
  CHECK(journal.texts()[static_cast<std::size_t>(foot.texts[2])] == "\xf0\x9f\x98\x80");
  CHECK(foot.texts[1] == mark.texts[1]);
  CHECK(foot.numbers[3] == 1);
  CHECK(journal.header() + "\n" == header);
}

TEST_CASE("undo and redo are lines") {
  Journal journal;
  const auto note = [](int n) { return act(n, R"("do":"note","text":"x")"); };
  journal.read(header + note(1) + note(2) + act(3, R"("do":"undo")") + act(4, R"("do":"undo")"));
  CHECK(!journal.acts()[0].stands);
  CHECK(!journal.acts()[1].stands);
  CHECK(journal.next_redone() == 1);
  journal.read(act(5, R"("do":"redo")"));
  CHECK(journal.acts()[0].stands);
  CHECK(journal.next_undone() == 1);
  CHECK(journal.next_redone() == 2);
  journal.read(note(6));
  CHECK(!journal.can_redo());
  CHECK(!journal.acts()[1].stands);
  CHECK(journal.lines() == 7);
  CHECK(damage(header + act(1, R"("do":"undo")")).find("act 1 is damaged: it takes back") == 0);
  CHECK(damage(header + note(1) + act(2, R"("do":"redo")")).find("act 2 is damaged") == 0);
}

TEST_CASE("damage is refused by number, whatever byte it hits") {
  std::string text = header;
  for (int n = 1; n <= 5; ++n)
    text += act(n, R"("do":"event","play":"7","what":"snap","angle":"sideline","time":12.5)");
  CHECK(damage(text).empty());
  std::size_t line = 0;
  for (std::size_t i = 0; i + 1 < text.size(); ++i) {
    for (const int flip : {1, 2, 32, 128}) {
      std::string hurt = text;
      hurt[i] = static_cast<char>(hurt[i] ^ flip);
      const std::string says = damage(hurt);
      const std::string name = line ? "act " + std::to_string(line) : "the header (act 0)";
      // A newline more or less moves the damage to the line that it cuts or joins.
      CHECK_MESSAGE(says.find(name + " is damaged") == 0, i, " ", says);
    }
    line += text[i] == '\n';
  }
  CHECK(damage(header + act(2, R"("do":"undo")")).find("act 1 is damaged: it says it is act 2") == 0);
  CHECK(damage(header + act(1, R"("do":"dance")")).find("does not know") != std::string::npos);
  CHECK(damage(header + act(1, R"("do":"note")")).find("it lacks text") != std::string::npos);
  CHECK(damage(header + act(1, R"("do":"note","text":"x","more":1)")).find("not known") != std::string::npos);
  CHECK(damage(header + act(1, R"("do":"note","text":"\ud83d")")).find("surrogate") != std::string::npos);
}

TEST_CASE("a text cut at every byte loses at most its last act") {
  std::string text = header;
  std::vector<std::size_t> ends{text.size()};
  for (int n = 1; n <= 4; ++n) {
    text += act(n, R"("do":"note","text":"x")");
    ends.push_back(text.size());
  }
  for (std::size_t cut = 0; cut <= text.size(); ++cut) {
    Journal journal;
    const auto whole =
        static_cast<std::size_t>(std::count_if(ends.begin(), ends.end(), [&](std::size_t end) { return end <= cut; }));
    CHECK(journal.read(std::string_view(text).substr(0, cut)) == (whole ? ends[whole - 1] : 0));
    CHECK(journal.lines() == whole);
  }
}
