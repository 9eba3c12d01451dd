#include "logbook/test_files.h"

#include <unistd.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <fstream>
#include <limits>
#include <sstream>

namespace masseter {
namespace {

double OddDouble(std::mt19937_64& random) {
  using Limits = std::numeric_limits<double>;
  switch (random() % 12) {
    case 0:
      return -0.0;
    case 1:
      return Limits::infinity();
    case 2:
      return -Limits::infinity();
    case 3:  // a NaN, signalling or not, with any payload
      return std::bit_cast<double>(0x7ff0000000000001U |
                                   (random() & 0x800fffffffffffffU));
    case 4:
      return Limits::denorm_min();
    case 5:
      return Limits::max();
    case 6:
      return 9007199254740993.0;
    default:
      return std::bit_cast<double>(random());
  }
}

std::int64_t OddInteger(std::mt19937_64& random) {
  using Limits = std::numeric_limits<std::int64_t>;
  switch (random() % 5) {
    case 0:
      return Limits::min();
    case 1:
      return Limits::max();
    case 2:
      return 0;
    case 3:
      return -1;
    default:
      return static_cast<std::int64_t>(random());
  }
}

std::vector<double> RandomDoubles(std::mt19937_64& random, std::size_t rows) {
  const std::uint64_t kind = random() % 4;
  const double power = std::pow(10.0, static_cast<double>(random() % 6));
  std::vector<double> values(rows);
  for (double& v : values) {
    const auto step = static_cast<double>(random() % 20000) - 10000.0;
    if (kind == 0) v = OddDouble(random);
    if (kind == 1) v = step / power;
    if (kind == 2) v = std::sin(step);
    if (kind == 3) v = random() % 50 == 0 ? -0.0 : step / power;
  }
  return values;
}

std::vector<std::int64_t> RandomIntegers(std::mt19937_64& random,
                                         std::size_t rows) {
  const std::uint64_t kind = random() % 4;
  std::vector<std::int64_t> values(rows);
  auto walk = static_cast<std::int64_t>(random() % 100000);
  for (std::size_t i = 0; i < rows; ++i) {
    walk += static_cast<std::int64_t>(random() % 201) - 100;
    if (kind == 0) values[i] = OddInteger(random);
    if (kind == 1) values[i] = walk;
    if (kind == 2) values[i] = static_cast<std::int64_t>(1000 * i);
    if (kind == 3) values[i] = 42;
  }
  return values;
}

}  // namespace

TestFolder::TestFolder() {
  std::string name =
      (std::filesystem::temp_directory_path() / "logbook-XXXXXX").string();
  folder_ = mkdtemp(name.data());
}

TestFolder::~TestFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(folder_, ignored);
}

std::vector<std::string> TestFolder::Names() const {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(folder_)) {
    names.push_back(entry.path().filename().string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

std::string ReadBytes(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

void WriteBytes(const std::string& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary) << bytes;
}

RawBlock SteadyBlock(std::int64_t first, std::size_t rows, double host_time_s) {
  std::vector<std::int64_t> seq(rows);
  std::vector<std::int64_t> t_us(rows);
  std::vector<std::int64_t> c1(rows);
  for (std::size_t i = 0; i < rows; ++i) {
    seq[i] = first + static_cast<std::int64_t>(i);
    t_us[i] = 1000 * seq[i];
    c1[i] = 10 * seq[i];
  }
  RawBlock block;
  block.layout = {
      {Role::kSequence, -1}, {Role::kTimeUs, -1}, {Role::kChannel, 0}};
  block.columns = {seq, t_us, c1};
  block.rows = rows;
  block.host_time_s = host_time_s;
  return block;
}

RawBlock RandomBlock(std::mt19937_64& random, std::size_t max_rows) {
  RawBlock block;
  block.rows = 1 + random() % max_rows;
  const std::size_t columns = 1 + random() % 9;
  for (std::size_t c = 0; c < columns; ++c) {
    const auto role = static_cast<Role>(random() % 11);
    const int channel = role == Role::kChannel ? static_cast<int>(c) : -1;
    block.layout.push_back({role, channel});
    if (random() % 2 == 0) {
      block.columns.emplace_back(RandomDoubles(random, block.rows));
    } else {
      block.columns.emplace_back(RandomIntegers(random, block.rows));
    }
  }
  block.host_time_s =
      random() % 2 == 0 ? 0.0 : 1.7e9 + static_cast<double>(random() % 1000);
  return block;
}

bool SameBits(const RawBlock& a, const RawBlock& b) {
  if (a.layout != b.layout || a.rows != b.rows ||
      a.columns.size() != b.columns.size() ||
      std::bit_cast<std::uint64_t>(a.host_time_s) !=
          std::bit_cast<std::uint64_t>(b.host_time_s)) {
    return false;
  }
  for (std::size_t c = 0; c < a.columns.size(); ++c) {
    if (a.columns[c].index() != b.columns[c].index()) return false;
    if (const auto* x = std::get_if<std::vector<double>>(&a.columns[c])) {
      const auto& y = std::get<std::vector<double>>(b.columns[c]);
      if (!std::equal(x->begin(), x->end(), y.begin(), y.end(),
                      [](double p, double q) {
                        return std::bit_cast<std::uint64_t>(p) ==
                               std::bit_cast<std::uint64_t>(q);
                      })) {
        return false;
      }
    } else if (a.columns[c] != b.columns[c]) {
      return false;
    }
  }
  return true;
}

void Concatenate(RawBlock& a, const RawBlock& b) {
  for (std::size_t c = 0; c < a.columns.size(); ++c) {
    std::visit(
        [&](auto& v) {
          const auto& more = std::get<std::decay_t<decltype(v)>>(b.columns[c]);
          v.insert(v.end(), more.begin(), more.end());
        },
        a.columns[c]);
  }
  a.rows += b.rows;
}

}  // namespace masseter
