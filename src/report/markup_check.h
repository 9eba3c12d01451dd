// A strict reader of the report's markup, for its tests: it knows no leniency,
// so that what it accepts every browser reads alike.
#ifndef MASSETER_REPORT_MARKUP_CHECK_H_
#define MASSETER_REPORT_MARKUP_CHECK_H_

#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace masseter::report {

struct Markup {
  struct Element {
    std::string tag;
    std::map<std::string, std::string> attributes;  // as written, not decoded
    std::size_t depth = 0;
  };
  std::vector<Element> elements;  // in order of opening
  std::string text;               // everything between tags, as written
  std::string error;              // empty when well formed
};

// Reads a document of the report. An error says what and where, for instance:
// a '<' or '&' that begins neither a tag nor one of the five references; an
// attribute without double quotes or twice; an end tag that closes another
// element than the open one; an element left open; "/>" outside of SVG; a raw
// control character; an id used twice.
Markup ReadMarkup(std::string_view document);

// What is wrong with a picture that stands alone or inside a page, or "": it
// is no svg element with its namespace, its markup is not well formed, a number
// in it is none, or a name brings markup of its own (<b>).
std::string PictureError(const std::string& svg);

}  // namespace masseter::report

#endif  // MASSETER_REPORT_MARKUP_CHECK_H_
