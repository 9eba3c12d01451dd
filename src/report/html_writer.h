// Writes HTML and inline SVG. Every text and every attribute value is escaped
// here and nowhere else; an element that is opened is closed by the writer.
//
// What a user typed (a dog's name, a file's name) reaches the page only
// through Text, Leaf and attribute values, so it can never become markup:
//   & < > " '            become character references,
//   control characters   and bytes that are no UTF-8 become U+FFFD,
//   direction overrides  (U+202A..202E, U+2066..2069) become U+FFFD, since
//                        they would reorder the figures beside the name.
//
// Thread rule: one writer belongs to one thread.
#ifndef MASSETER_REPORT_HTML_WRITER_H_
#define MASSETER_REPORT_HTML_WRITER_H_

#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace masseter::report {

// `text` made safe inside an element or a quoted attribute value.
std::string EscapeHtml(std::string_view text);

using Attribute = std::pair<std::string_view, std::string>;
using Attributes = std::initializer_list<Attribute>;

class HtmlWriter {
 public:
  // <tag a="...">. `tag` is a literal of the program, never user text.
  void Open(std::string_view tag, Attributes attributes = {});
  // Closes the element opened last.
  void Close();
  // <tag a="..."/> for SVG shapes, <tag a="..."> for HTML's void elements.
  void Shape(std::string_view tag, Attributes attributes);
  void Void(std::string_view tag, Attributes attributes = {});
  void Text(std::string_view text);
  // <tag a="...">text</tag>
  void Leaf(std::string_view tag, std::string_view text,
            Attributes attributes = {});
  // Text of the program itself that is markup or CSS already.
  void Trusted(std::string_view markup);
  // A line break between blocks, so that the file can be read and compared.
  void Line();

  // The document; closes what is still open.
  std::string Take();

 private:
  void Begin(std::string_view tag, Attributes attributes);

  std::string out_;
  std::vector<std::string> open_;
};

// Opens an element for the length of a scope.
class Scope {
 public:
  Scope(HtmlWriter& writer, std::string_view tag, Attributes attributes = {})
      : writer_(writer) {
    writer_.Open(tag, attributes);
  }
  ~Scope() { writer_.Close(); }
  Scope(const Scope&) = delete;
  Scope& operator=(const Scope&) = delete;

 private:
  HtmlWriter& writer_;
};

}  // namespace masseter::report

#endif  // MASSETER_REPORT_HTML_WRITER_H_
