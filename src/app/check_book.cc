#include "app/check_book.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "app/bite_list.h"
#include "app/book.h"
#include "app/file_io.h"
#include "app/json_values.h"
#include "app/sample_feed.h"

namespace masseter {
namespace {

// A stated force of which nothing more is said: ISO 376 class 1's expanded
// uncertainty (limits table from memory), as for a reference transducer.
constexpr double kUnstatedForce = 2.4e-3;

nlohmann::ordered_json Document(const CheckRequest& request,
                                const CheckResult& r,
                                std::int64_t calibration) {
  nlohmann::ordered_json j = {{"calibration", calibration},
                              {"mass_kg", OrNull(request.mass_kg)},
                              {"load_n", r.load_n},
                              {"load_u95_n", r.load_u95_n},
                              {"sleeve_n", r.sleeve_n},
                              {"sleeve_u95_n", r.sleeve_u95_n},
                              {"difference_n", r.difference_n},
                              {"e_n", r.e_n},
                              {"limit_n", r.limit_n},
                              {"zero_change_n", r.zero_change_n},
                              {"within", r.within}};
  if (request.place) {
    j["placed_x_mm"] = request.place->x_mm;
    j["placed_y_mm"] = request.place->y_mm;
  }
  if (r.place) {
    j["x_mm"] = r.place->x_mm;
    j["y_mm"] = r.place->y_mm;
  }
  return j;
}

bool IsStale(const Bite& bite) {
  return std::any_of(
      bite.reasons.begin(), bite.reasons.end(),
      [](const Reason& r) { return r.code == ReasonCode::kStale; });
}

Expected<std::size_t> CountStale(const std::string& book_path,
                                 std::int64_t calibration) {
  const auto bites = ListBites(book_path);
  if (!bites) return tl::unexpected(bites.error());
  std::size_t n = 0;
  for (const StoredBite& b : *bites) {
    n += b.provenance.calibration == calibration && IsStale(b.bite) ? 1U : 0U;
  }
  return n;
}

Expected<void> MustBeCalibrated(const Book& book, const std::string& path) {
  if (book.calibration) return {};
  return BadInput(path, "has no calibration to check; calibrate first");
}

Expected<CheckAnswer> Store(Book& book, const std::string& book_path,
                            const CheckRequest& request,
                            const CheckResult& result) {
  CheckAnswer answer;
  answer.result = result;
  answer.calibration = book.calibration_id;
  answer.placed = request.place;
  const auto id = StoreCheck(book, request, result);
  if (!id) return tl::unexpected(id.error());
  answer.id = *id;
  const auto stale = CountStale(book_path, book.calibration_id);
  if (!stale) return tl::unexpected(stale.error());
  answer.stale_bites = *stale;
  return answer;
}

}  // namespace

Expected<std::int64_t> StoreCheck(Book& book, const CheckRequest& request,
                                  const CheckResult& result) {
  std::int64_t number = 0;
  const auto stored = book.logbook.Transact([&]() -> Expected<void> {
    const auto id = book.logbook.AddBenchEntry(
        {0, "check", NowUnixS(),
         Document(request, result, book.calibration_id).dump()});
    if (!id) return tl::unexpected(id.error());
    number = *id;
    return book.logbook.MeasureAnewLater();
  });
  if (!stored) return tl::unexpected(stored.error());
  return number;
}

Expected<KnownLoad> LoadOf(const CheckRequest& request,
                           const Calibration& calibration) {
  if (request.mass_kg.has_value() == request.force_n.has_value()) {
    return BadInput("--mass",
                    "give the load's mass, or its force with --force");
  }
  if (request.mass_kg) {
    return LoadOfMass(*request.mass_kg, calibration.gravity_m_s2,
                      request.weight_tolerance);
  }
  if (!(*request.force_n > 0.0)) {
    return BadInput("--force", "must be above zero");
  }
  return KnownLoad{*request.force_n, request.force_u95_n.value_or(
                                         kUnstatedForce * *request.force_n)};
}

Expected<CheckAnswer> CheckFromReadings(
    const std::string& book_path, const CheckRequest& request,
    const SettledReading& zero, const SettledReading& loaded,
    const std::optional<SettledReading>& zero_after) {
  auto book = OpenBook(book_path, Access::kWrite);
  if (!book) return tl::unexpected(book.error());
  if (auto ok = MustBeCalibrated(*book, book_path); !ok) {
    return tl::unexpected(ok.error());
  }
  const auto load = LoadOf(request, *book->calibration);
  if (!load) return tl::unexpected(load.error());
  const CheckResult result =
      JudgeCheck(*book->calibration, *load, zero, loaded,
                 zero_after ? &*zero_after : nullptr, request.tolerance);
  return Store(*book, book_path, request, result);
}

Expected<CheckAnswer> CheckFromCapture(const std::string& book_path,
                                       const CheckRequest& request,
                                       const std::string& capture_path) {
  std::optional<CheckWindows> windows;
  {
    const auto book = OpenBook(book_path, Access::kRead);
    if (!book) return tl::unexpected(book.error());
    if (auto ok = MustBeCalibrated(*book, book_path); !ok) {
      return tl::unexpected(ok.error());
    }
    const auto load = LoadOf(request, *book->calibration);
    if (!load) return tl::unexpected(load.error());
    const auto capture = ReadCapture(capture_path, book->rig);
    if (!capture) return tl::unexpected(capture.error());
    auto found =
        FindCheckWindows(*book->calibration, capture->samples, SettleRule{});
    if (!found) return BadInput(capture_path, found.error().what);
    windows = std::move(*found);
  }
  return CheckFromReadings(book_path, request, windows->zero, windows->loaded,
                           windows->zero_after);
}

Expected<CheckHistory> ChecksOf(const std::string& book_path) {
  const auto bites = ListBites(book_path);
  if (!bites) return tl::unexpected(bites.error());
  const auto logbook = Logbook::Open(book_path, Access::kRead);
  if (!logbook) return tl::unexpected(logbook.error());
  CheckHistory out;
  for (const StoredBite& b : *bites)
    out.stale_bites += IsStale(b.bite) ? 1U : 0U;
  const auto limits = LimitsOf(*logbook);
  if (!limits) return tl::unexpected(limits.error());
  out.limits = *limits;
  const auto calibrations = logbook->Calibrations();
  if (!calibrations) return tl::unexpected(calibrations.error());
  if (!calibrations->empty()) {
    out.calibrated_unix_s = calibrations->back().created_unix_s;
  }
  const auto entries = logbook->BenchEntries("check");
  if (!entries) return tl::unexpected(entries.error());
  for (const BenchEntry& entry : *entries) {
    const auto j = nlohmann::json::parse(entry.document, nullptr, false);
    if (!j.is_object()) continue;
    out.checks.push_back({entry.id, entry.created_unix_s,
                          j.value("calibration", std::int64_t{0}),
                          j.value("load_n", 0.0), j.value("sleeve_n", 0.0),
                          j.value("difference_n", 0.0), j.value("limit_n", 0.0),
                          j.value("e_n", 0.0), j.value("within", false)});
  }
  return out;
}

Expected<ValidityLimits> ChangeLimits(const std::string& book_path,
                                      const ValidityLimits& change) {
  auto logbook = Logbook::Open(book_path, Access::kWrite);
  if (!logbook) return tl::unexpected(logbook.error());
  return SetLimits(*logbook, change, NowUnixS());
}

}  // namespace masseter
