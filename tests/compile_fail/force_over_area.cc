// A force over an area is a pressure, and nothing else.
// EXPECT: conversion from .*to non-scalar type|no viable conversion
#include <type_traits>

#include "core/quantity/quantity.h"

namespace masseter {

constexpr Force kBite(743.0);
constexpr Area kContact(1.5e-4);

#ifdef MUST_NOT_COMPILE
constexpr Force kWrong = kBite / kContact;
#else
constexpr Pressure kRight = kBite / kContact;
static_assert(std::is_same_v<decltype(kBite / kContact), Pressure>);
static_assert(kRight.si() == 743.0 / 1.5e-4);
#endif

}  // namespace masseter
