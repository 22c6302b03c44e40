#include "tracking/clock.hpp"

#include <doctest/doctest.h>

#include "scenes.hpp"

using namespace shortedge;
using doctest::Approx;

TEST_CASE("times within 5 ms of a frame's first are that frame") {
  CHECK(frame_times({0.1, 0, 0.004, 0.2, 0.105, 0.104}) == std::vector<double>{0, 0.1, 0.2});
  // Counted from the frame's first, not from sample to sample.
  CHECK(frame_times({0, 0.004, 0.008, 0.012}) == std::vector<double>{0, 0.008});
  CHECK(frame_times({}).empty());
  // 5 ms is within, whatever the rounding of a clock of decimal seconds.
  for (int k = 0; k < 100; ++k) CHECK(frame_times({0.1 * k, 0.1 * k + 0.005}).size() == 1);
}

TEST_CASE("a man's own sample of the frame comes first, else a line between two") {
  const std::vector<double> frames{0, 0.1, 0.2, 0.3};
  const std::vector<double> samples{0.003, 0.2, 0.204, 0.3};
  const std::vector<Point> places{{0, 0}, {4, 2}, {50, 50}, {6, 2}};
  const std::vector<Mix> mixes = mix_samples(frames, samples);
  CHECK(mixed(mixes[0], places) == Point(0, 0));
  CHECK_FALSE(mixes[0].filled());
  CHECK(mixes[1].filled());
  const double share = (0.1 - 0.003) / (0.2 - 0.003);
  CHECK(distance(mixed(mixes[1], places), share * Point(4, 2)) < 1e-15);
  CHECK(mixed(mixes[2], places) == Point(4, 2));  // the first of two of that frame
  CHECK(mixed(mixes[3], places) == Point(6, 2));
}

TEST_CASE("a gap of half a second is filled, a longer one is not") {
  const std::vector<double> frames{0.1, 0.3, 0.6, 0.8};
  const std::vector<Mix> mixes = mix_samples(frames, std::vector<double>{0.1, 0.6, 1.1001});
  CHECK(mixes[1].filled());
  CHECK(mixes[1].share == Approx(0.4));
  CHECK_FALSE(mixes[2].absent());
  CHECK(mixes[3].absent());
}

TEST_CASE("nothing is added before a man's first sample or after his last") {
  const std::vector<double> frames{0, 0.1, 0.2, 0.3};
  const std::vector<Mix> mixes = mix_samples(frames, std::vector<double>{0.1, 0.2});
  CHECK(mixes[0].absent());
  CHECK(mixes[3].absent());
  CHECK_FALSE(present(mixed(mixes[3], std::vector<Point>{{1, 1}, {2, 2}})));
  for (const Mix& mix : mix_samples(frames, {})) CHECK(mix.absent());
}

TEST_CASE("a man on a straight line is placed on it at every frame he has") {
  scenes::Random random(71);
  for (int i = 0; i < 200; ++i) {
    std::vector<double> samples, others;
    for (double time = random.number(0, 0.2); time < 3; time += random.number(0.02, 0.7)) samples.push_back(time);
    for (double time = 0; time < 3; time += random.number(0.02, 0.2)) others.push_back(time);
    std::vector<double> all = samples;
    all.insert(all.end(), others.begin(), others.end());
    const std::vector<double> frames = frame_times(all);
    const auto place = [](double time) { return Point(3 - 2 * time, 1 + 4 * time); };
    std::vector<Point> places;
    for (const double time : samples) places.push_back(place(time));
    const std::vector<Mix> mixes = mix_samples(frames, samples);
    for (std::size_t k = 0; k < frames.size(); ++k) {
      const auto after = std::lower_bound(samples.begin(), samples.end(), frames[k] - 1e-9);
      const bool own = after != samples.end() && *after <= frames[k] + 0.005;
      const bool between = after != samples.begin() && after != samples.end() && *after - *(after - 1) <= 0.5;
      CHECK(mixes[k].absent() == !(own || between));
      if (mixes[k].absent()) continue;
      // His own sample may be up to 5 ms later, at 4.5 yd/s.
      CHECK(distance(mixed(mixes[k], places), place(frames[k])) < (own ? 0.005 * 4.5 : 1e-9));
    }
  }
}
