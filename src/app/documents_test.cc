// What the logbook keeps as JSON comes back as it was.
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "app/bite_json.h"
#include "app/calibration_json.h"
#include "app/capture_notes.h"
#include "core/metrology/plate_testing.h"

namespace masseter {
namespace {

using testing_plate::Plate;

Calibration OfAPlate() {
  const Plate plate;
  const Rig rig = testing_plate::FourCellRig(plate);
  const auto table =
      ParseReadings(testing_plate::Readings(plate, {}), "r.csv", rig);
  return *Calibrate(rig, *table, {}, "r.csv");
}

Calibration OfOneCell() {
  const Rig rig = testing_plate::OneCellRig(SignalUnit::kCount);
  std::string text = "mass_kg,c1\n0,3\n";
  for (int k = 1; k < 12; ++k) {
    text += std::to_string(7 * k) + "," +
            std::to_string(3 + 6900 * k + 9 * k * k + k % 3) + "\n";
  }
  return *Calibrate(rig, *ParseReadings(text, "r.csv", rig), {}, "r.csv");
}

void ExpectSamePlaces(const std::vector<Place>& a,
                      const std::vector<Place>& b) {
  EXPECT_EQ(a, b);
}

// Every member, doubles bit for bit: == on finite doubles of the same sign.
void ExpectSame(const Calibration& a, const Calibration& b) {
  const Estimator& e = a.estimator;
  const Estimator& f = b.estimator;
  EXPECT_EQ(e.form, f.form);
  EXPECT_EQ(e.curvature, f.curvature);
  EXPECT_EQ(e.gain, f.gain);
  EXPECT_EQ(e.coeffs, f.coeffs);
  ExpectSamePlaces(e.cells, f.cells);
  EXPECT_EQ(e.spread_mm, f.spread_mm);
  EXPECT_EQ(e.force_scale_n, f.force_scale_n);
  EXPECT_EQ(e.floor_n, f.floor_n);
  EXPECT_EQ(e.curve, f.curve);
  EXPECT_EQ(a.channels, b.channels);
  EXPECT_EQ(a.rows, b.rows);
  EXPECT_EQ(a.gravity_m_s2, b.gravity_m_s2);
  EXPECT_EQ(a.force_low_n, b.force_low_n);
  EXPECT_EQ(a.force_high_n, b.force_high_n);
  ASSERT_EQ(a.curve.has_value(), b.curve.has_value());
  if (a.curve) {
    EXPECT_EQ(a.curve->b, b.curve->b);
    EXPECT_EQ(a.curve->se, b.curve->se);
    EXPECT_EQ(a.curve->residual_sd, b.curve->residual_sd);
  }
  EXPECT_EQ(a.relative.repeatability, b.relative.repeatability);
  EXPECT_EQ(a.relative.reproducibility, b.relative.reproducibility);
  EXPECT_EQ(a.relative.interpolation, b.relative.interpolation);
  EXPECT_EQ(a.relative.reversibility, b.relative.reversibility);
  EXPECT_EQ(a.relative.zero_return, b.relative.zero_return);
  EXPECT_EQ(a.relative.off_centre, b.relative.off_centre);
  EXPECT_EQ(a.relative.resolution, b.relative.resolution);
  EXPECT_EQ(a.relative.reference, b.relative.reference);
  EXPECT_EQ(a.left_out_rms, b.left_out_rms);
  EXPECT_EQ(a.left_out_max, b.left_out_max);
  EXPECT_EQ(a.relative_standard_u, b.relative_standard_u);
  EXPECT_EQ(a.expanded_relative_u95, b.expanded_relative_u95);
  EXPECT_EQ(a.absolute_standard_u_n, b.absolute_standard_u_n);
  EXPECT_EQ(a.place_seen, b.place_seen);
  ExpectSamePlaces(a.area, b.area);
  ASSERT_EQ(a.warnings.size(), b.warnings.size());
  for (std::size_t i = 0; i < a.warnings.size(); ++i) {
    EXPECT_EQ(a.warnings[i].code, b.warnings[i].code);
    EXPECT_EQ(a.warnings[i].text, b.warnings[i].text);
  }
  ASSERT_EQ(a.residuals.size(), b.residuals.size());
  for (std::size_t i = 0; i < a.residuals.size(); ++i) {
    EXPECT_EQ(a.residuals[i].force_n, b.residuals[i].force_n);
    EXPECT_EQ(a.residuals[i].relative, b.residuals[i].relative);
    EXPECT_EQ(a.residuals[i].x_mm, b.residuals[i].x_mm);
    EXPECT_EQ(a.residuals[i].y_mm, b.residuals[i].y_mm);
    EXPECT_EQ(a.residuals[i].rising, b.residuals[i].rising);
  }
}

TEST(CalibrationDocument, ComesBackBitForBit) {
  for (const Calibration& c : {OfAPlate(), OfOneCell()}) {
    const std::string text = CalibrationDocument(c);
    const auto back = ParseCalibrationDocument(text);
    ASSERT_TRUE(back) << back.error().Text();
    ExpectSame(c, *back);
    EXPECT_EQ(CalibrationDocument(*back), text);
  }
}

TEST(CalibrationDocument, SaysWhatIsWrongWithIt) {
  EXPECT_FALSE(ParseCalibrationDocument("").has_value());
  EXPECT_FALSE(ParseCalibrationDocument("{}").has_value());
  std::string text = CalibrationDocument(OfAPlate());
  const std::string key = "\"estimator_model\":{\"form\":\"";
  text.insert(text.find(key) + key.size(), "un");
  const auto back = ParseCalibrationDocument(text);
  ASSERT_FALSE(back);
  EXPECT_NE(back.error().what.find("unknown estimator"), std::string::npos);
}

TEST(CalibrationAnswer, HasTheCurveInWordsAndNullsForWhatIsUnknown) {
  const auto j = CalibrationAnswer(OfOneCell(), 7);
  EXPECT_EQ(j.at("calibration"), 7);
  EXPECT_EQ(j.at("curve").at("form"), "v = b1 F + b2 F^2");
  EXPECT_TRUE(j.at("left_out_position_error").at("rms").is_null());
  // Several channels: one curve each.
  const auto curves = CalibrationAnswer(OfAPlate(), 1).at("curve");
  ASSERT_EQ(curves.size(), 4U);
  EXPECT_EQ(curves.at(3).at("channel"), "c4");
  EXPECT_EQ(curves.at(3).at("form"), "v = b1 F");
}

Bite AnyBite() {
  Bite b;
  b.dog = "Brisk \"the\" dög";
  b.start_s = 0.1;
  b.end_s = 1.0 / 3.0;
  b.duration_s = b.end_s - b.start_s;
  b.peak_n = 743.0999999999999;
  b.peak_u95_n = 6.2;
  b.peak_lo_n = 740.0;
  b.peak_hi_n = 800.0;
  b.peak_at_s = 0.123456789012345;
  b.strike_n = 700.0;
  b.squeeze_u95_n = 4.5;
  b.impulse_ns = 1e-300;
  b.regrips = 3;
  b.shake_hz = 4.5;
  b.out_s = 0.7;
  b.x_mm = -12.5;
  b.y_mm = 0.0;
  b.verdict = Verdict::kDoubtful;
  b.at_least = true;
  for (int k = 0; k <= static_cast<int>(ReasonCode::kClock); ++k) {
    b.reasons.push_back({static_cast<ReasonCode>(k), "why", std::nullopt, 0.1,
                         0.2, "do this", false});
  }
  b.reasons[0].effect_n = 12.25;
  b.budget = {{"noise", 1.5, std::numeric_limits<double>::infinity(), "normal"},
              {"fit", 0.7, 12.0, "t"}};
  b.first_row = 123456789012ULL;
  b.last_row = 123456789999ULL;
  return b;
}

TEST(BiteDocument, ComesBackAsItWas) {
  const Bite a = AnyBite();
  const std::vector<float> spark = {
      0.43F, std::numeric_limits<float>::quiet_NaN(), 1.0F};
  const std::string document = BiteDocument(a, {3, 2, 5, "1"}, spark);
  EXPECT_NE(document.find("[0.43,null,1.0]"), std::string::npos);
  const auto stored = ParseBiteDocument(document, 42);
  ASSERT_TRUE(stored) << stored.error().Text();
  const Bite& b = stored->bite;
  EXPECT_EQ(b.id, 42);
  EXPECT_EQ(stored->provenance.capture, 3);
  EXPECT_EQ(stored->provenance.calibration, 2);
  EXPECT_EQ(stored->provenance.rig_revision, 5);
  EXPECT_EQ(stored->provenance.method, "1");
  ASSERT_EQ(stored->spark.size(), 3U);
  EXPECT_EQ(stored->spark[0], 0.43F);
  EXPECT_TRUE(std::isnan(stored->spark[1]));
  EXPECT_EQ(stored->spark[2], 1.0F);
  EXPECT_EQ(a.dog, b.dog);
  EXPECT_EQ(a.start_s, b.start_s);
  EXPECT_EQ(a.end_s, b.end_s);
  EXPECT_EQ(a.duration_s, b.duration_s);
  EXPECT_EQ(a.peak_n, b.peak_n);
  EXPECT_EQ(a.peak_u95_n, b.peak_u95_n);
  EXPECT_EQ(a.peak_lo_n, b.peak_lo_n);
  EXPECT_EQ(a.peak_hi_n, b.peak_hi_n);
  EXPECT_EQ(a.peak_at_s, b.peak_at_s);
  EXPECT_EQ(a.strike_n, b.strike_n);
  EXPECT_EQ(a.squeeze_n, b.squeeze_n);
  EXPECT_EQ(a.squeeze_u95_n, b.squeeze_u95_n);
  EXPECT_EQ(a.held_n, b.held_n);
  EXPECT_EQ(a.impulse_ns, b.impulse_ns);
  EXPECT_EQ(a.rise_s, b.rise_s);
  EXPECT_EQ(a.loading_rate_n_s, b.loading_rate_n_s);
  EXPECT_EQ(a.regrips, b.regrips);
  EXPECT_EQ(a.shake_hz, b.shake_hz);
  EXPECT_EQ(a.held_cv, b.held_cv);
  EXPECT_EQ(a.out_s, b.out_s);
  EXPECT_EQ(a.x_mm, b.x_mm);
  EXPECT_EQ(a.y_mm, b.y_mm);
  EXPECT_EQ(a.verdict, b.verdict);
  EXPECT_EQ(a.at_least, b.at_least);
  EXPECT_EQ(a.first_row, b.first_row);
  EXPECT_EQ(a.last_row, b.last_row);
  ASSERT_EQ(a.reasons.size(), b.reasons.size());
  for (std::size_t i = 0; i < a.reasons.size(); ++i) {
    EXPECT_EQ(a.reasons[i].code, b.reasons[i].code);
    EXPECT_EQ(a.reasons[i].text, b.reasons[i].text);
    EXPECT_EQ(a.reasons[i].effect_n, b.reasons[i].effect_n);
    EXPECT_EQ(a.reasons[i].start_s, b.reasons[i].start_s);
    EXPECT_EQ(a.reasons[i].end_s, b.reasons[i].end_s);
    EXPECT_EQ(a.reasons[i].advice, b.reasons[i].advice);
  }
  ASSERT_EQ(a.budget.size(), b.budget.size());
  for (std::size_t i = 0; i < a.budget.size(); ++i) {
    EXPECT_EQ(a.budget[i].term, b.budget[i].term);
    EXPECT_EQ(a.budget[i].standard_uncertainty_n,
              b.budget[i].standard_uncertainty_n);
    EXPECT_EQ(a.budget[i].degrees_of_freedom, b.budget[i].degrees_of_freedom);
    EXPECT_EQ(a.budget[i].distribution, b.budget[i].distribution);
  }
}

TEST(BiteDocument, SaysWhichBiteCannotBeRead) {
  const auto bad = ParseBiteDocument("{\"dog\":3}", 17);
  ASSERT_FALSE(bad);
  EXPECT_NE(bad.error().what.find("bite 17 cannot be read"), std::string::npos);
}

TEST(BiteAnswer, GivesBoundsOnlyWhenTheyAreNotEven) {
  Bite b = AnyBite();
  EXPECT_TRUE(BiteAnswer(b).contains("peak_hi_n"));
  b.peak_lo_n.reset();
  b.peak_hi_n.reset();
  EXPECT_FALSE(BiteAnswer(b).contains("peak_hi_n"));
  EXPECT_TRUE(BiteAnswer(b).at("held_n").is_null());
}

TEST(CaptureNotes, ComeBackAndForgiveWhatCannotBeRead) {
  CaptureNotes notes;
  notes.last_s = 12.000000000000002;
  notes.rate_hz = 999.7;
  notes.gaps = 3;
  notes.late = 1;
  notes.warnings = {"a \xff byte"};  // not UTF-8: still stored
  notes.broken = {{14, "c3 is not a number: \"1o2\""}};
  const CaptureNotes back = ParseNotes(NotesDocument(notes));
  EXPECT_EQ(back.last_s, notes.last_s);
  EXPECT_EQ(back.rate_hz, notes.rate_hz);
  EXPECT_EQ(back.gaps, 3U);
  EXPECT_EQ(back.late, 1U);
  ASSERT_EQ(back.warnings.size(), 1U);
  ASSERT_EQ(back.broken.size(), 1U);
  EXPECT_EQ(back.broken[0].line, 14U);
  EXPECT_EQ(back.broken[0].why, notes.broken[0].why);
  EXPECT_TRUE(ParseNotes("not json").warnings.empty());
  EXPECT_EQ(ParseNotes("{\"gaps\":9}").gaps, 0U);
}

TEST(CaptureNotes, WarnOfAMissingClockAndOfAWrongRate) {
  TimelineReport timeline;
  timeline.period_s = 1.0 / 80.0;
  timeline.has_time = false;
  const CaptureNotes none = NotesFrom({}, timeline, 80.0);
  ASSERT_EQ(none.warnings.size(), 1U);
  EXPECT_NE(none.warnings[0].find("nominal 80 samples"), std::string::npos);
  timeline.has_time = true;
  EXPECT_TRUE(NotesFrom({}, timeline, 80.0).warnings.empty());
  EXPECT_TRUE(NotesFrom({}, timeline, 83.0).warnings.empty());
  const CaptureNotes off = NotesFrom({}, timeline, 100.0);
  ASSERT_EQ(off.warnings.size(), 1U);
  EXPECT_NE(off.warnings[0].find("80.0 samples a second"), std::string::npos);
  timeline.late = 1;
  EXPECT_EQ(NotesFrom({}, timeline, 80.0).warnings.at(0),
            "1 row came late or twice and was left out");
}

}  // namespace
}  // namespace masseter
