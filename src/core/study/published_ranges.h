// Bite forces of dogs that others have published, each with how it was
// obtained. A backdrop to own measurements and never mixed with them: chewing
// on rawhide, a stimulated jaw under anaesthesia and a long attack into a
// sleeve are different things.
#ifndef MASSETER_CORE_STUDY_PUBLISHED_RANGES_H_
#define MASSETER_CORE_STUDY_PUBLISHED_RANGES_H_

#include <span>
#include <string_view>

namespace masseter {

struct PublishedRange {
  std::string_view what;    // "pet dogs, chewing on rawhide"
  std::string_view method;  // how the force came about and was measured
  double low_n = 0.0;
  double high_n = 0.0;
  double middle_n = 0.0;         // median, 0 when not published
  std::string_view range_means;  // "lowest to highest", "middle half"
  double mass_low_kg = 0.0;      // 0 when not known
  double mass_high_kg = 0.0;
  int dogs = 0;
  std::string_view source;
  std::string_view seen;  // how sure the figures are
};

std::span<const PublishedRange> PublishedRanges();

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_PUBLISHED_RANGES_H_
