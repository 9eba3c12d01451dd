#include "report/markup_check.h"

#include <algorithm>
#include <array>
#include <set>

namespace masseter::report {
namespace {

bool IsNameChar(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
         (c >= '0' && c <= '9') || c == '-';
}

bool IsVoid(std::string_view tag) {
  static constexpr std::array<std::string_view, 5> kVoid = {"meta", "br", "hr",
                                                            "img", "link"};
  return std::ranges::find(kVoid, tag) != kVoid.end();
}

class Reader {
 public:
  explicit Reader(std::string_view document) : doc_(document) {}

  Markup Read() {
    if (!Skip("<!doctype html>")) Fail("no doctype");
    while (markup_.error.empty() && at_ < doc_.size()) {
      if (doc_[at_] != '<') {
        Text();
      } else if (Skip("</")) {
        EndTag();
      } else {
        ++at_;
        StartTag();
      }
    }
    if (markup_.error.empty() && !open_.empty()) {
      Fail("left open: " + open_.back());
    }
    return std::move(markup_);
  }

 private:
  void Fail(const std::string& what) {
    if (!markup_.error.empty()) return;
    const std::size_t from = at_ > 40 ? at_ - 40 : 0;
    markup_.error = what + " at " + std::to_string(at_) + ": ..." +
                    std::string(doc_.substr(from, 80));
  }

  bool Skip(std::string_view text) {
    if (doc_.substr(at_, text.size()) != text) return false;
    at_ += text.size();
    return true;
  }

  std::string Name() {
    const std::size_t from = at_;
    while (at_ < doc_.size() && IsNameChar(doc_[at_])) ++at_;
    return std::string(doc_.substr(from, at_ - from));
  }

  // One character of text or of an attribute value.
  void Character(std::string& to) {
    const char c = doc_[at_];
    const auto byte = static_cast<unsigned char>(c);
    if ((byte < 0x20 && c != '\n' && c != '\t') || byte == 0x7F) {
      Fail("a control character");
    }
    if (c == '&') {
      for (const auto* known : {"&amp;", "&lt;", "&gt;", "&quot;", "&#39;"}) {
        if (Skip(known)) {
          to += known;
          return;
        }
      }
      Fail("a bare ampersand");
    }
    if (c == '>') Fail("a bare >");
    to += c;
    ++at_;
  }

  void Text() {
    // The style sheet is raw text up to its end tag.
    if (!open_.empty() && open_.back() == "style") {
      const std::size_t end = doc_.find("</style>", at_);
      if (end == std::string_view::npos) Fail("style left open");
      at_ = std::min(end, doc_.size());
      return;
    }
    while (markup_.error.empty() && at_ < doc_.size() && doc_[at_] != '<') {
      Character(markup_.text);
    }
  }

  void Attribute(Markup::Element& element) {
    const std::string name = Name();
    if (name.empty() || !Skip("=\"")) return Fail("a malformed attribute");
    std::string value;
    while (markup_.error.empty() && at_ < doc_.size() && doc_[at_] != '"') {
      if (doc_[at_] == '<') return Fail("a < in an attribute");
      Character(value);
    }
    if (!Skip("\"")) return Fail("an attribute left open");
    if (name == "id" && !ids_.insert(value).second) {
      return Fail("an id used twice: " + value);
    }
    if (!element.attributes.emplace(name, value).second) {
      Fail("an attribute twice: " + name);
    }
  }

  void StartTag() {
    Markup::Element element;
    element.tag = Name();
    element.depth = open_.size();
    if (element.tag.empty()) return Fail("a bare <");
    while (markup_.error.empty() && Skip(" ")) Attribute(element);
    const bool in_svg = std::ranges::find(open_, "svg") != open_.end();
    const bool closed = Skip("/>");
    if (closed && !in_svg) return Fail("a /> outside of SVG");
    if (!closed && !Skip(">")) return Fail("a malformed tag");
    if (!closed && !IsVoid(element.tag)) open_.push_back(element.tag);
    markup_.elements.push_back(std::move(element));
  }

  void EndTag() {
    const std::string name = Name();
    if (!Skip(">")) return Fail("a malformed end tag");
    if (open_.empty() || open_.back() != name) {
      return Fail("an end tag that closes nothing: " + name);
    }
    open_.pop_back();
  }

  std::string_view doc_;
  std::size_t at_ = 0;
  std::vector<std::string> open_;
  std::set<std::string> ids_;
  Markup markup_;
};

}  // namespace

Markup ReadMarkup(std::string_view document) { return Reader(document).Read(); }

std::string PictureError(const std::string& svg) {
  const std::size_t at = svg.find("<svg xmlns=\"http://www.w3.org/2000/svg\"");
  if (at == std::string::npos) return "no svg element";
  for (const char* wrong : {"nan", "inf\"", "<b>"}) {
    if (svg.find(wrong) != std::string::npos) return wrong;
  }
  return ReadMarkup("<!doctype html>" + svg.substr(at)).error;
}

}  // namespace masseter::report
