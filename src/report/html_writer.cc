#include "report/html_writer.h"

#include "report/utf8.h"

namespace masseter::report {

std::string EscapeHtml(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t at = 0; at < text.size();) {
    const char32_t code = NextCodePoint(text, at);
    switch (code) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        AppendUtf8(out, IsUnprintable(code) ? kReplacement : code);
    }
  }
  return out;
}

void HtmlWriter::Begin(std::string_view tag, Attributes attributes) {
  out_ += '<';
  out_ += tag;
  for (const auto& [name, value] : attributes) {
    out_ += ' ';
    out_ += name;
    out_ += "=\"";
    out_ += EscapeHtml(value);
    out_ += '"';
  }
}

void HtmlWriter::Open(std::string_view tag, Attributes attributes) {
  Begin(tag, attributes);
  out_ += '>';
  open_.emplace_back(tag);
}

void HtmlWriter::Close() {
  if (open_.empty()) return;
  out_ += "</" + open_.back() + '>';
  open_.pop_back();
}

void HtmlWriter::Shape(std::string_view tag, Attributes attributes) {
  Begin(tag, attributes);
  out_ += "/>";
}

void HtmlWriter::Void(std::string_view tag, Attributes attributes) {
  Begin(tag, attributes);
  out_ += '>';
}

void HtmlWriter::Text(std::string_view text) { out_ += EscapeHtml(text); }

void HtmlWriter::Leaf(std::string_view tag, std::string_view text,
                      Attributes attributes) {
  Open(tag, attributes);
  Text(text);
  Close();
}

void HtmlWriter::Trusted(std::string_view markup) { out_ += markup; }

void HtmlWriter::Line() { out_ += '\n'; }

std::string HtmlWriter::Take() {
  while (!open_.empty()) Close();
  return std::move(out_);
}

}  // namespace masseter::report
