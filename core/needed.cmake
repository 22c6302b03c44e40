# What shortedge is built with, looked for before anything else, so that whoever lacks it is told all at once.

# GCC and Clang have the vectors of lanes (core/geometry/lanes.hpp: vector_size, which arithmetic and ?: work on in C++)
# and the C++20 that is used. Older ones than these have not been tried.
set(shortedge_oldest_GNU 12)
set(shortedge_oldest_Clang 14)
set(shortedge_compilers "GCC ${shortedge_oldest_GNU} or newer, or Clang ${shortedge_oldest_Clang} or newer")
set(shortedge_debian "sudo apt-get install")

# Before project(), which would stop at the compiler alone.
function(shortedge_need_a_compiler)
  if(CMAKE_CXX_COMPILER OR CMAKE_TOOLCHAIN_FILE OR DEFINED ENV{CXX})
    return()
  endif()
  find_program(SHORTEDGE_ANY_COMPILER NAMES c++ g++ clang++ NO_CACHE)
  if(NOT SHORTEDGE_ANY_COMPILER)
    message(FATAL_ERROR "shortedge needs a C++ compiler (${shortedge_compilers}) and finds none.\n"
      "Debian 12 installs it, and all else that is needed, with\n"
      "  ${shortedge_debian} g++ libeigen3-dev libboost1.81-dev libhdf5-dev libdeflate-dev python3-dev\n")
  endif()
endfunction()

# After project().
function(shortedge_check_compiler)
  set(id ${CMAKE_CXX_COMPILER_ID})
  if(id STREQUAL "AppleClang")
    return() # its versions count otherwise; none has been tried
  elseif(NOT DEFINED shortedge_oldest_${id})
    message(FATAL_ERROR "shortedge cannot be compiled by ${id}: core/geometry/lanes.hpp needs the vectors of "
      "${shortedge_compilers}. Name one with -DCMAKE_CXX_COMPILER=...")
  elseif(CMAKE_CXX_COMPILER_VERSION VERSION_LESS shortedge_oldest_${id})
    message(WARNING "${id} ${CMAKE_CXX_COMPILER_VERSION} has not been tried: core/geometry/lanes.hpp asks for the vectors "
      "and the C++20 of ${shortedge_compilers}")
  endif()
endfunction()

# What it is called, what Debian calls it, and the arguments of find_package.
macro(shortedge_need what debian)
  find_package(${ARGN})
  if(NOT ${ARGV2}_FOUND)
    string(APPEND shortedge_lacking "  ${what}\n")
    string(APPEND shortedge_to_install " ${debian}")
  endif()
endmacro()

# After the options: one message for all that is missing or too old.
macro(shortedge_need_packages)
  set(shortedge_lacking "")
  set(shortedge_to_install "")
  shortedge_need("Eigen 3.4 or newer" libeigen3-dev Eigen3 3.4 QUIET NO_MODULE)
  shortedge_need("Boost 1.81 or newer (headers alone)" libboost1.81-dev Boost 1.81 QUIET)
  if(SHORTEDGE_FILE)
    list(APPEND CMAKE_MODULE_PATH ${PROJECT_SOURCE_DIR}/core)
    if(NOT SHORTEDGE_CARRIES)
      shortedge_need("HDF5 1.10 or newer (for C)" libhdf5-dev HDF5 1.10 QUIET COMPONENTS C)
      shortedge_need("libdeflate" libdeflate-dev libdeflate QUIET MODULE)
    endif()
  endif()
  if(SHORTEDGE_PYTHON)
    shortedge_need("Python 3.11 or newer, with its headers" python3-dev
      Python 3.11 QUIET COMPONENTS Interpreter Development.Module)
  endif()
  if(SHORTEDGE_TESTS AND NOT SHORTEDGE_FUZZ)
    shortedge_need("doctest 2.4 or newer" doctest-dev doctest 2.4 QUIET)
  endif()
  if(SHORTEDGE_BENCH)
    shortedge_need("Google Benchmark" libbenchmark-dev benchmark QUIET)
  endif()
  if(shortedge_lacking)
    message(FATAL_ERROR "shortedge needs, and does not find:\n${shortedge_lacking}"
      "Debian 12 installs them with\n  ${shortedge_debian}${shortedge_to_install}\n"
      "Elsewhere say where they are: -DCMAKE_PREFIX_PATH=... "
      "(with pip: pip install . --config-settings=cmake.define.CMAKE_PREFIX_PATH=...)")
  endif()
endmacro()
