// The main of every test program: takes over the locale that the environment
// asks for, in C and in C++, before any test runs. `./dev test` runs all tests
// once under a locale whose decimal sign is a comma, so that a parser or a
// printer that follows the locale is caught.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <clocale>
#include <locale>
#include <stdexcept>

int main(int argc, char** argv) {
  std::setlocale(LC_ALL, "");
  try {
    std::locale::global(std::locale(""));
  } catch (const std::runtime_error&) {
    // The environment names a locale that this machine does not have: the
    // classic one stays. tests/architecture fails where a comma is promised.
  }
  testing::InitGoogleMock(&argc, argv);
  return RUN_ALL_TESTS();
}
