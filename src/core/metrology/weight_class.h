// Weights and what their class promises: the largest error that a weight of a
// class may have when it is new (OIML R 111-1:2004, Table 1).
//
// The rows from 1 g to 5 kg were compared with a stored copy of the table;
// those of 10, 20 and 50 kg are from memory (they follow the same steps).
// Pure functions; safe from several threads.
#ifndef MASSETER_CORE_METROLOGY_WEIGHT_CLASS_H_
#define MASSETER_CORE_METROLOGY_WEIGHT_CLASS_H_

#include <cstdint>
#include <optional>
#include <string_view>

namespace masseter {

enum class WeightClass : std::uint8_t { kF1, kF2, kM1, kM2, kM3 };

std::string_view WeightClassWord(WeightClass weight_class);  // "M1"
// nullopt for a word that is no class; upper or lower case.
std::optional<WeightClass> WeightClassOf(std::string_view word);

// Maximum permissible error of one weight of `nominal_g` grams, milligrams;
// nullopt when the table has no such weight (it has 1, 2 and 5 times powers of
// ten from 1 g to 50 kg).
std::optional<double> MaxPermissibleErrorMg(WeightClass weight_class,
                                            int nominal_g);

// The same for a load put together from such weights, the largest first,
// relative to the load: the errors of one maker's weights may all have one
// sign, so they add up. What is left below 1 g counts as a weight of 1 g.
// `mass_kg` > 0.
double RelativeTolerance(WeightClass weight_class, double mass_kg);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_WEIGHT_CLASS_H_
