#include "logbook/column_codec.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <iterator>
#include <optional>

namespace masseter {
namespace {

enum Kind : std::uint8_t { kIntegers = 0, kBits = 1, kDecimals = 2 };

using Words = std::vector<std::uint64_t>;
using Values = std::span<const std::uint64_t>;

// Exact in binary: a decimal of at most 2^53 in its digits, divided by one of
// these, gives the double that reading its text gives (both round once).
constexpr std::array<double, 13> kPowersOfTen = {
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12};
constexpr double kExactIntegers = 9007199254740992.0;  // 2^53

std::uint64_t ZigZag(std::uint64_t v) { return (v << 1) ^ (0 - (v >> 63)); }
std::uint64_t UnZigZag(std::uint64_t z) { return (z >> 1) ^ (0 - (z & 1)); }

// The residual of row `i` >= order.
template <std::size_t order>
std::uint64_t ResidualAt(const std::uint64_t* x, std::size_t i) {
  if constexpr (order == 0) return ZigZag(x[i]);
  if constexpr (order == 1) return ZigZag(x[i] - x[i - 1]);
  if constexpr (order == 2) {
    return ZigZag(x[i] - 2 * x[i - 1] + x[i - 2]);
  }
}

// Residuals for the rows after the seeds.
template <std::size_t order>
void Residuals(Values x, Words& out) {
  const std::size_t first = std::min(order, x.size());
  out.resize(x.size() - first);
  for (std::size_t i = first; i < x.size(); ++i) {
    out[i - first] = ResidualAt<order>(x.data(), i);
  }
}

// Which rows tell the order: all of a short column; of a long one runs of
// kRun rows, which tell it as well.
constexpr std::size_t kRun = 64;
constexpr std::size_t kLong = 2048;
std::size_t RunEvery(std::size_t rows) {
  return rows < kLong ? kRun : 8 * kRun;
}

// How many bits the residuals of those rows have in all.
template <std::size_t order>
std::uint64_t BitsIn(Values x) {
  std::uint64_t sum = 0;
  for (std::size_t run = 0; run < x.size(); run += RunEvery(x.size())) {
    const std::size_t end = std::min(run + kRun, x.size());
    for (std::size_t i = std::max(run, order); i < end; ++i) {
      sum += static_cast<std::uint64_t>(
          std::bit_width(ResidualAt<order>(x.data(), i)));
    }
  }
  return sum;
}

// The order whose residuals have the fewest bits, seeds included.
std::size_t BestOrder(Values x) {
  const std::uint64_t bits[] = {BitsIn<0>(x), BitsIn<1>(x) + 64,
                                BitsIn<2>(x) + 128};
  return static_cast<std::size_t>(
      std::min_element(std::begin(bits), std::end(bits)) - std::begin(bits));
}

// Bytes that hold the widest of `words`.
std::size_t WidthOf(const Words& words) {
  std::uint64_t all = 0;
  for (const std::uint64_t w : words) all |= w;
  return static_cast<std::size_t>((std::bit_width(all) + 7) / 8);
}

void PutPlanes(const Words& words, std::size_t width, Bytes& out) {
  const std::size_t start = out.size();
  out.resize(start + width * words.size());
  std::uint8_t* plane = out.data() + start;
  for (std::size_t p = 0; p < width; ++p) {
    const std::size_t shift = 8 * p;
    for (std::size_t i = 0; i < words.size(); ++i) {
      plane[i] = static_cast<std::uint8_t>(words[i] >> shift);
    }
    plane += words.size();
  }
}

void PutColumn(Kind kind, std::uint8_t decimals, std::size_t order,
               Values values, const Words& residuals, Bytes& out) {
  const std::size_t width = WidthOf(residuals);
  out.push_back(kind);
  out.push_back(decimals);
  out.push_back(static_cast<std::uint8_t>(order));
  out.push_back(static_cast<std::uint8_t>(width));
  const std::size_t seeds = values.size() - residuals.size();
  for (std::size_t i = 0; i < seeds; ++i) PutU64(values[i], out);
  PutPlanes(residuals, width, out);
}

void EncodeIntegers(Kind kind, std::uint8_t decimals, Values values,
                    Bytes& out) {
  Words residuals;
  const std::size_t order = BestOrder(values);
  if (order == 0) Residuals<0>(values, residuals);
  if (order == 1) Residuals<1>(values, residuals);
  if (order == 2) Residuals<2>(values, residuals);
  PutColumn(kind, decimals, order, values, residuals, out);
}

void EncodeBits(const Words& values, Bytes& out) {
  Words residuals(values.empty() ? 0 : values.size() - 1);
  for (std::size_t i = 1; i < values.size(); ++i) {
    residuals[i - 1] = values[i] ^ values[i - 1];
  }
  PutColumn(kBits, 0, 1, values, residuals, out);
}

// The integer n with n / power == value in every bit, if there is one.
std::optional<std::int64_t> AsDecimal(double value, double power) {
  const double scaled = value * power;
  if (!(std::abs(scaled) < kExactIntegers)) return std::nullopt;
  const auto n = static_cast<std::int64_t>(scaled + std::copysign(0.5, scaled));
  const double back = static_cast<double>(n) / power;
  if (std::bit_cast<std::uint64_t>(back) !=
      std::bit_cast<std::uint64_t>(value)) {
    return std::nullopt;
  }
  return n;
}

// All values as integers over one power of ten: true when every one fits.
bool AsDecimals(const std::vector<double>& values, double power, Words& out) {
  out.resize(values.size());
  for (std::size_t i = 0; i < values.size(); ++i) {
    const auto n = AsDecimal(values[i], power);
    if (!n) return false;
    out[i] = static_cast<std::uint64_t>(*n);
  }
  return true;
}

void EncodeDoubles(const std::vector<double>& values, Bytes& out) {
  Words words;
  for (std::size_t d = 0; d < kPowersOfTen.size(); ++d) {
    if (AsDecimals(values, kPowersOfTen[d], words)) {
      EncodeIntegers(kDecimals, static_cast<std::uint8_t>(d), words, out);
      return;
    }
  }
  words.resize(values.size());
  for (std::size_t i = 0; i < values.size(); ++i) {
    words[i] = std::bit_cast<std::uint64_t>(values[i]);
  }
  EncodeBits(words, out);
}

// Turns seeds and residuals, already in `x`, back into values in place.
void Integrate(Kind kind, std::size_t order, std::size_t seeds, Words& x) {
  for (std::size_t i = seeds; i < x.size(); ++i) {
    if (kind == kBits) {
      if (order == 1) x[i] ^= x[i - 1];
      continue;
    }
    x[i] = UnZigZag(x[i]);
    if (order == 1) x[i] += x[i - 1];
    if (order == 2) x[i] += 2 * x[i - 1] - x[i - 2];
  }
}

RawColumn FromWords(Kind kind, double power, const Words& x) {
  if (kind == kIntegers) {
    std::vector<std::int64_t> values(x.size());
    for (std::size_t i = 0; i < x.size(); ++i) {
      values[i] = static_cast<std::int64_t>(x[i]);
    }
    return values;
  }
  std::vector<double> values(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) {
    values[i] =
        kind == kBits
            ? std::bit_cast<double>(x[i])
            : static_cast<double>(static_cast<std::int64_t>(x[i])) / power;
  }
  return values;
}

}  // namespace

void PutU32(std::uint32_t value, Bytes& out) {
  for (int s = 0; s < 32; s += 8) {
    out.push_back(static_cast<std::uint8_t>(value >> s));
  }
}

void PutU64(std::uint64_t value, Bytes& out) {
  for (int s = 0; s < 64; s += 8) {
    out.push_back(static_cast<std::uint8_t>(value >> s));
  }
}

std::span<const std::uint8_t> ByteReader::Take(std::size_t count) {
  if (!ok_ || count > rest_.size()) {
    ok_ = false;
    return {};
  }
  const auto taken = rest_.first(count);
  rest_ = rest_.subspan(count);
  return taken;
}

std::uint8_t ByteReader::U8() {
  const auto b = Take(1);
  return b.empty() ? std::uint8_t{0} : b[0];
}

std::uint32_t ByteReader::U32() {
  std::uint32_t value = 0;
  int shift = 0;
  for (const std::uint8_t b : Take(4)) {
    value |= std::uint32_t{b} << shift;
    shift += 8;
  }
  return value;
}

std::uint64_t ByteReader::U64() {
  std::uint64_t value = 0;
  int shift = 0;
  for (const std::uint8_t b : Take(8)) {
    value |= std::uint64_t{b} << shift;
    shift += 8;
  }
  return value;
}

void EncodeColumn(const RawColumn& column, Bytes& out) {
  if (const auto* doubles = std::get_if<std::vector<double>>(&column)) {
    EncodeDoubles(*doubles, out);
    return;
  }
  // A signed integer may be read as its unsigned counterpart.
  const auto& integers = std::get<std::vector<std::int64_t>>(column);
  const auto* words = reinterpret_cast<const std::uint64_t*>(integers.data());
  EncodeIntegers(kIntegers, 0, Values(words, integers.size()), out);
}

bool DecodeColumn(ByteReader& in, std::size_t rows, RawColumn& out) {
  const std::uint8_t kind = in.U8();
  const std::uint8_t decimals = in.U8();
  const std::size_t order = in.U8();
  const std::size_t width = in.U8();
  if (!in.ok() || kind > kDecimals || width > 8) return false;
  if (order > (kind == kBits ? 1U : 2U)) return false;
  if (decimals >= kPowersOfTen.size()) return false;
  if (kind != kDecimals && decimals != 0) return false;
  const std::size_t seeds = std::min(order, rows);
  if (in.left() < 8 * seeds + width * (rows - seeds)) return false;

  Words x(rows);
  for (std::size_t i = 0; i < seeds; ++i) x[i] = in.U64();
  for (std::size_t p = 0; p < width; ++p) {
    const auto plane = in.Take(rows - seeds);
    for (std::size_t i = 0; i < plane.size(); ++i) {
      x[seeds + i] |= std::uint64_t{plane[i]} << (8 * p);
    }
  }
  const auto k = static_cast<Kind>(kind);
  Integrate(k, order, seeds, x);
  out = FromWords(k, kPowersOfTen[decimals], x);
  return in.ok();
}

}  // namespace masseter
