// A bite's force as a small picture: what a page shows beside its figures.
#ifndef MASSETER_APP_BITE_SPARK_H_
#define MASSETER_APP_BITE_SPARK_H_

#include <nlohmann/json.hpp>
#include <vector>

#include "core/bite/measure.h"

namespace masseter {

// Up to 60 heights from 0.1 s before the bite to 0.1 s after it, 0..1 of its
// highest force, to the hundredth; NaN where half of a height's samples or more
// are missing.
std::vector<float> SparkOf(const MeasuredBite& bite);

// The same as an array of numbers, null where samples are missing, and back;
// what is no such array is an empty picture.
nlohmann::ordered_json SparkJson(const std::vector<float>& spark);
std::vector<float> ReadSpark(const nlohmann::ordered_json& j);

}  // namespace masseter

#endif  // MASSETER_APP_BITE_SPARK_H_
