// The board (core/board/board.hpp) for a page: tables of numbers in the instance's memory, by their place in
// `se_columns`.
//
// An error is told to the page (se_refused) and ends the instance, as WebAssembly without exceptions cannot go on: the
// page makes another one.

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <exception>
#include <string>

#include "board/board.hpp"

#define SHORTEDGE_EXPORT(name) __attribute__((export_name(#name), visibility("default")))
#define SHORTEDGE_IMPORT(name) __attribute__((import_module("page"), import_name(#name)))

extern "C" {
SHORTEDGE_IMPORT(refused) void se_refused(const char* text, std::size_t size);
/// Whether to go on.
SHORTEDGE_IMPORT(progress) std::int32_t se_progress(std::size_t done, std::size_t all);
}

namespace {

shortedge::Board& board() {
  static shortedge::Board one;
  return one;
}

}  // namespace

extern "C" {

/// The names of everything, JSON with a zero at its end.
SHORTEDGE_EXPORT(se_columns) const char* se_columns() {
  static const std::string text = shortedge::Board::describe();
  return text.c_str();
}

/// Where the numbers of an input table of so many rows are to be written.
SHORTEDGE_EXPORT(se_input) double* se_input(std::size_t table, std::size_t rows) {
  return board().input(static_cast<shortedge::Board::In>(table), rows).data();
}
SHORTEDGE_EXPORT(se_rows) std::size_t se_rows(std::size_t table) {
  return board().rows(static_cast<shortedge::Board::Out>(table));
}
SHORTEDGE_EXPORT(se_output) const double* se_output(std::size_t table) {
  return board().output(static_cast<shortedge::Board::Out>(table)).data();
}

SHORTEDGE_EXPORT(se_measure) void se_measure() { board().measure(); }
SHORTEDGE_EXPORT(se_sweep) void se_sweep() { board().sweep_depth(); }
/// 0 when the page stopped it.
SHORTEDGE_EXPORT(se_simulate) std::int32_t se_simulate() {
  return board().simulate([](std::size_t done, std::size_t all) { return se_progress(done, all) != 0; });
}

// A thread's own things end with the instance, and need no farewell.
int __cxa_thread_atexit(void (*)(void*), void*, void*) noexcept { return 0; }
// What the compiler calls for `throw`. All that is thrown here is a std::exception.
void* __cxa_allocate_exception(std::size_t size) noexcept { return std::malloc(size); }
[[noreturn]] void __cxa_throw(void* thrown, void*, void (*)(void*)) {
  const std::string text = static_cast<const std::exception*>(thrown)->what();
  se_refused(text.data(), text.size());
  __builtin_trap();
}
}
