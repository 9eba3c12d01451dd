#include "report/html_writer.h"

#include <gtest/gtest.h>

#include "report/markup_check.h"

namespace masseter::report {
namespace {

// The five characters: WHATWG HTML, "Serializing HTML fragments", and XML 1.0
// section 2.4.
TEST(HtmlWriter, EscapesTheFiveCharactersThatAreMarkup) {
  EXPECT_EQ(EscapeHtml("<b>&\"'"), "&lt;b&gt;&amp;&quot;&#39;");
  EXPECT_EQ(EscapeHtml("&amp;"), "&amp;amp;");
}

TEST(HtmlWriter, ReplacesControlCharactersAndDirectionOverrides) {
  EXPECT_EQ(EscapeHtml(std::string("a\0b", 3)), "a\uFFFDb");
  EXPECT_EQ(EscapeHtml("a\x1b[31mb"), "a\uFFFD[31mb");
  EXPECT_EQ(EscapeHtml("a\u202Eb"), "a\uFFFDb");
  EXPECT_EQ(EscapeHtml("a\tb\nc"), "a\tb\nc");
}

// Ill-formed sequences: RFC 3629 section 3 and 10.
TEST(HtmlWriter, ReplacesBytesThatAreNoUtf8) {
  EXPECT_EQ(EscapeHtml("\xff"), "\uFFFD");
  EXPECT_EQ(EscapeHtml("\xc3"), "\uFFFD");            // cut short
  EXPECT_EQ(EscapeHtml("\xc0\xbc"), "\uFFFD\uFFFD");  // overlong '<'
  EXPECT_EQ(EscapeHtml("\xe0\x80\xbc"), "\uFFFD\uFFFD\uFFFD");
  EXPECT_EQ(EscapeHtml("\xed\xa0\x80"), "\uFFFD\uFFFD\uFFFD");  // surrogate
  EXPECT_EQ(EscapeHtml("\xf4\x90\x80\x80"), "\uFFFD\uFFFD\uFFFD\uFFFD");
}

TEST(HtmlWriter, KeepsEveryScript) {
  EXPECT_EQ(EscapeHtml("Žofka Ωμ 犬 🐕"), "Žofka Ωμ 犬 🐕");
}

TEST(HtmlWriter, ClosesWhatWasLeftOpen) {
  HtmlWriter w;
  w.Open("p", {{"title", "\"x\""}});
  w.Open("b");
  w.Text("1 < 2");
  EXPECT_EQ(w.Take(), "<p title=\"&quot;x&quot;\"><b>1 &lt; 2</b></p>");
}

TEST(MarkupCheck, RefusesWhatIsNotWellFormed) {
  const std::string d = "<!doctype html>";
  EXPECT_EQ(ReadMarkup(d + "<p class=\"a\">x &amp; y</p>").error, "");
  for (const char* bad :
       {"<p>", "<p></b>", "<p>a & b</p>", "<p>a > b</p>", "<p class=a></p>",
        "<p a=\"1\" a=\"2\"></p>", "<p/>", "<p id=\"a\"></p><p id=\"a\"></p>",
        "<p title=\"<\"></p>", "< p></p>", "</p>"}) {
    EXPECT_NE(ReadMarkup(d + bad).error, "") << bad;
  }
}

}  // namespace
}  // namespace masseter::report
