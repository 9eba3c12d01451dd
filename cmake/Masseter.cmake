# Targets of the house. A module is a static library `masseter_<name>`; its
# tests are one executable a module, every source named here and in
# tests/architecture (which checks that none is forgotten).

add_library(masseter_flags INTERFACE)
target_compile_features(masseter_flags INTERFACE cxx_std_20 c_std_11)
target_compile_options(masseter_flags INTERFACE
  -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wsign-conversion
  $<$<COMPILE_LANGUAGE:CXX>:-Wnon-virtual-dtor>
  $<$<COMPILE_LANGUAGE:CXX>:-Wold-style-cast>
  $<$<COMPILE_LANGUAGE:CXX>:-Woverloaded-virtual>
  # Contracted operations would make results differ between machines.
  -ffp-contract=off)
if(MASSETER_PCH AND CMAKE_CXX_COMPILER_ID STREQUAL GNU)
  # g++ 12 takes strings that are moved for overruns (GCC bug 105651); it hides
  # that inside system headers, but not once they are precompiled.
  target_compile_options(masseter_flags INTERFACE
    -Wno-array-bounds -Wno-restrict -Wno-stringop-overflow
    -Wno-stringop-overread)
endif()
if(MASSETER_WERROR)
  target_compile_options(masseter_flags INTERFACE -Werror)
endif()
if(MASSETER_SANITIZE)
  set(flags -fsanitize=${MASSETER_SANITIZE} -fno-omit-frame-pointer)
  if(MASSETER_SANITIZE MATCHES undefined)
    list(APPEND flags -fno-sanitize-recover=undefined)
  endif()
  target_compile_options(masseter_flags INTERFACE ${flags})
  target_link_options(masseter_flags INTERFACE ${flags})
endif()
if(MASSETER_FUZZ)
  # The address checks see every access; that the optimizer looks at the sizes
  # it knows as well costs a quarter of compiling linear algebra.
  set(flags -fsanitize=address,undefined -fno-sanitize=object-size
    -fno-sanitize-recover=undefined -fno-omit-frame-pointer)
  target_compile_options(masseter_flags INTERFACE ${flags})
  target_link_options(masseter_flags INTERFACE ${flags})
endif()

# What a fuzzer steers by: the branches of what it reads with. The rest of the
# program is compiled without.
function(masseter_steered)
  if(MASSETER_FUZZ)
    foreach(target ${ARGN})
      target_compile_options(${target} PRIVATE -fsanitize=fuzzer-no-link)
    endforeach()
  endif()
endfunction()

# Headers that nearly every source of a target reads are compiled once. A
# source still includes what it uses: MASSETER_PCH=OFF, which `./dev lint`
# builds with, holds it to that.
set(MASSETER_STD_HEADERS <algorithm> <array> <cmath> <cstdint> <functional>
  <map> <memory> <optional> <span> <string> <string_view> <variant> <vector>
  <tl/expected.hpp>)
function(masseter_precompile target)
  if(MASSETER_PCH)
    target_precompile_headers(${target} PRIVATE ${MASSETER_STD_HEADERS}
      ${ARGN})
  endif()
endfunction()

# Off the hot paths the compiler's time counts more than the program's: at -O1
# it takes a quarter less, and with run-time checks at -O0 half of -O1.
function(masseter_quick target)
  target_compile_options(${target} PRIVATE
    $<$<CONFIG:RelWithDebInfo>:-O1> $<$<CONFIG:Debug>:-O0>)
endfunction()

# What every sample goes through is worth the compiler's time: loops without
# order between their turns do two values at once, with the same result.
function(masseter_hot target)
  set_source_files_properties(${ARGN} TARGET_DIRECTORY ${target}
    PROPERTIES COMPILE_OPTIONS "$<$<CONFIG:RelWithDebInfo>:-O3>")
endfunction()

# masseter_module(core SOURCES a.cc b.cc LINK Eigen3::Eigen masseter_core ...
#   PRECOMPILE <fmt/core.h> ...): headers compiled once, besides std's
# QUICK: off the hot paths
function(masseter_module name)
  cmake_parse_arguments(M "QUICK" "" "SOURCES;LINK;PRIVATE_LINK;PRECOMPILE"
    ${ARGN})
  add_library(masseter_${name} STATIC ${M_SOURCES})
  if(M_QUICK)
    masseter_quick(masseter_${name})
  endif()
  target_include_directories(masseter_${name} PUBLIC ${PROJECT_SOURCE_DIR}/src)
  target_link_libraries(masseter_${name} PUBLIC ${M_LINK}
    PRIVATE masseter_flags ${M_PRIVATE_LINK})
  masseter_precompile(masseter_${name} ${M_PRECOMPILE})
endfunction()

# The main of every test program (tests/support/locale_main.cc).
if(MASSETER_TESTS)
  find_package(GTest REQUIRED)
  add_library(masseter_test_main STATIC
    ${PROJECT_SOURCE_DIR}/tests/support/locale_main.cc)
  target_link_libraries(masseter_test_main
    PUBLIC GTest::gtest GTest::gmock tl::expected
    PRIVATE masseter_flags nlohmann_json::nlohmann_json)
  masseter_quick(masseter_test_main)
  masseter_precompile(masseter_test_main <gtest/gtest.h> <gmock/gmock.h>
    <nlohmann/json.hpp>)
endif()

# Everything that runs with the checks of MASSETER_SANITIZE or MASSETER_FUZZ.
add_custom_target(checked)
# The tests of what runs threads; all that MASSETER_SANITIZE=thread builds.
add_custom_target(threaded)

# masseter_test(core_test SOURCES a_test.cc LINK masseter_core)
# THREADS: also run with checks of threads.
# UNCHECKED: not part of a build with run-time checks, since it looks at the
# tree and not at the code, or keeps time with a clock that the checks slow.
function(masseter_test name)
  cmake_parse_arguments(T "THREADS;UNCHECKED" "" "SOURCES;LINK" ${ARGN})
  if(NOT MASSETER_TESTS OR
      (T_UNCHECKED AND (MASSETER_SANITIZE OR MASSETER_FUZZ)) OR
      (NOT T_THREADS AND MASSETER_SANITIZE STREQUAL thread))
    return()
  endif()
  add_executable(${name} ${T_SOURCES})
  add_dependencies(checked ${name})
  if(T_THREADS)
    add_dependencies(threaded ${name})
  endif()
  masseter_quick(${name})
  target_include_directories(${name} PRIVATE ${PROJECT_SOURCE_DIR})
  target_compile_definitions(${name} PRIVATE
    MASSETER_SOURCE_DIR="${PROJECT_SOURCE_DIR}")
  target_link_libraries(${name} PRIVATE masseter_flags ${T_LINK}
    masseter_test_main)
  if(MASSETER_PCH)
    target_precompile_headers(${name} REUSE_FROM masseter_test_main)
  endif()
  gtest_discover_tests(${name} DISCOVERY_MODE PRE_TEST
    PROPERTIES TIMEOUT 300)
endfunction()
