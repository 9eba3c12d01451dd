// The uncertainty budget of a bite's peak and squeeze (GUM, docs/method.md
// section 4).
#ifndef MASSETER_CORE_TRUST_BUDGET_H_
#define MASSETER_CORE_TRUST_BUDGET_H_

#include <vector>

#include "core/bite/bite.h"
#include "core/bite/measure.h"
#include "core/bite/peak.h"
#include "core/metrology/student_t.h"
#include "core/trust/propagate.h"

namespace masseter {

// Fills bite.budget, peak_u95_n and squeeze_u95_n; nothing without a
// calibration, since then nobody knows how sure a newton is.
// `signals_at_peak` are zero corrected.
//
// The lines add by Welch-Satterthwaite. Where the one-sided ones are not small
// (Lopsided), the interval is found by Monte Carlo (propagate.h) instead, its
// seed the bite's first row: peak_lo_n and peak_hi_n are then set, and
// peak_u95_n is half of what lies between. The lower end takes no credit for a
// loss, since the crest's parabola may have undone it: it stays below that of
// the other lines.
//
// Terms, standard uncertainties in newtons:
//   calibration  force times the calibration's relative standard uncertainty
//   range        beyond the calibrated forces: Calibration::beyond_range (0.1 %
//                of the force and more) for every calibrated range that it
//                exceeds, 1.5 % at most
//   friction     what the smallest bench loads are off by, newtons
//   creep        weights rest for seconds, a bite does not: 0.5 % of the force
//                (rectangular)
//   zero         the zero may have moved by as much as it is off after the
//                bite (rectangular), and its own scatter
//   noise        of the samples, as far as the crest averages it
//   crest        filter against parabola
//   sampling     a third of the worst loss of a half-sine of this curvature, or
//                what a kink between slow samples could hide, whichever is
//                larger (one-sided)
//   bandwidth    loss of a one-pole low-pass of the rig's stated bandwidth
//                (one-sided)
//   inertia      what the sleeve's own motion added at the peak, as far as the
//                swings between bites leave it open (core/bite/inertia.h)
//   dynamics     how the sleeve rings, when a tap test tells (dynamics_line.h)
void FillBudget(const Rig& rig, const ForceModel& model,
                const EventContext& context, const PeakEstimate& peak,
                const std::vector<double>& signals_at_peak, Bite& bite);

// The interval of bite.budget about bite.peak_n, before any evidence; clears
// it when there are no lines.
void SetPeakInterval(Bite& bite);

// True when one-sided lines shift the middle of the interval by more than 5 %
// of its half-width, which is where two significant digits of it begin to
// show the shift.
bool Lopsided(const std::vector<BudgetLine>& lines);

// Combined standard uncertainty and effective degrees of freedom.
CombinedUncertainty CombineLines(const std::vector<BudgetLine>& lines);

// What Monte Carlo makes of a bite's lines: the seed is the bite's own.
Propagation PropagateBudget(const Bite& bite);

// Force that the change of zero over the bite is worth, newtons, signed.
double ZeroChangeN(const ForceModel& model, const EventContext& context,
                   const std::vector<double>& signals_at_peak);

// How far the zero may be off after a bite without having moved: 2 % of the
// peak, or half the threshold that begins a bite.
double ZeroLimitN(const EventContext& context, double peak_n);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_BUDGET_H_
