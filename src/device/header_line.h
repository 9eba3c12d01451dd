// The line in which a device names its columns.
#ifndef MASSETER_DEVICE_HEADER_LINE_H_
#define MASSETER_DEVICE_HEADER_LINE_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/rig/rig.h"
#include "device/sample_line.h"

namespace masseter {

// The name of a column in rig files and headers: RoleOfName backwards.
std::string NameOfRole(const Rig& rig, ColumnRole role);

struct HeaderLine {
  char separator = ',';
  std::vector<std::string> names;  // as printed, without quotes
  std::vector<ColumnRole> roles;   // kSkip for an unknown name
  std::vector<std::string> unknown;
};

// A header is a line without a single number, at least two of whose fields
// (one, when the rig has one channel) are names that RoleOfName knows, and
// these are at least half of the fields; or a line of as many fields as the rig
// file has columns of which one is known. The separator is the one under which
// most names are known, the rig's own first. nullopt for any other line.
std::optional<HeaderLine> ReadHeader(const Rig& rig, std::string_view line);

// What makes a header unusable: `no channel c3 (it names seq, c1, c2)` or
// `the name c1 twice`, or that it heads bench readings; empty when it is
// usable.
std::string HeaderFault(const Rig& rig, const HeaderLine& header);

// True for the rest of a header whose beginning was lost, as it can stand at
// the start of a live stream ("s,c1,c2" of "t_us,c1,c2"): the columns are a
// proper tail of the rig file's, but for one cut name at the front.
bool IsTailOfHeader(const Rig& rig, const HeaderLine& header);

// What a reader should know: unknown names, and columns of the rig file that
// the header does not have or has in another unit.
std::vector<std::string> HeaderWarnings(const Rig& rig,
                                        const HeaderLine& header);

// The columns that a line of these roles keeps, in the line's order.
std::vector<ColumnRole> KeptLayout(const std::vector<ColumnRole>& roles);

// Sends each field to its place in `layout`; a role that `layout` does not
// have is skipped. nullopt when a column of `layout` has no field.
std::optional<FieldPlan> PlanFields(const Rig& rig,
                                    const std::vector<ColumnRole>& roles,
                                    const std::vector<ColumnRole>& layout);

}  // namespace masseter

#endif  // MASSETER_DEVICE_HEADER_LINE_H_
