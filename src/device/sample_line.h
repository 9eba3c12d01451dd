// One line of a capture as one sample.
#ifndef MASSETER_DEVICE_SAMPLE_LINE_H_
#define MASSETER_DEVICE_SAMPLE_LINE_H_

#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "device/number_text.h"

namespace masseter {

// Which field of a line goes where: one entry a field.
struct FieldPlan {
  static constexpr int kSkipped = -1;
  std::vector<int> slots;          // index of the value in a row, or kSkipped
  std::vector<std::string> names;  // for messages; as many as slots
};

// Splits a line into trimmed fields. Separator ' ' means any run of blanks
// (spaces and tabs); around ',' and ';' blanks are ignored, around '\t'
// spaces. One empty field after a trailing separator is dropped. The views
// point into `line`.
void SplitFields(std::string_view line, char separator,
                 std::vector<std::string_view>& fields);

// Reads a sample in one pass, without allocation: values go to `row` (as long
// as the largest slot demands). False when the field count is not the plan's or
// a value is not a number that fits; `row` then holds rubbish. Skipped fields
// may hold anything. A decimal comma is accepted unless the separator is ','.
bool ReadSample(std::string_view line, char separator, const FieldPlan& plan,
                std::span<NumberText> row);

// Why ReadSample says false, in half a sentence: `c3 is not a number: "1o2"`,
// "5 fields, 7 expected". Slow; for the few lines that are shown.
std::string WhyNotSample(std::string_view line, char separator,
                         const FieldPlan& plan);

}  // namespace masseter

#endif  // MASSETER_DEVICE_SAMPLE_LINE_H_
