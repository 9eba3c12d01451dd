// The groups of the selftest, one function a source; each appends its own.
#ifndef MASSETER_SELFTEST_GROUPS_H_
#define MASSETER_SELFTEST_GROUPS_H_

#include <vector>

#include "selftest/selftest.h"

namespace masseter::selftest {

using Groups = std::vector<CheckedGroup>;

void AddFits(Groups& out);    // fit_groups.cc: NIST StRD
void AddGum(Groups& out);     // gum_groups.cc: GUM examples, coverage factors
void AddForce(Groups& out);   // force_groups.cc: standards of mass and force
void AddSignal(Groups& out);  // signal_groups.cc: filters, sampling
void AddAgreement(Groups& out);  // agreement_groups.cc: ICC, ANOVA

}  // namespace masseter::selftest

#endif  // MASSETER_SELFTEST_GROUPS_H_
