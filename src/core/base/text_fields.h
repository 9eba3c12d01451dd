// Small files of delimited text (readings, roster, marks): fields and numbers,
// whatever the locale. Device text has its own fast reader in src/device.
#ifndef MASSETER_CORE_BASE_TEXT_FIELDS_H_
#define MASSETER_CORE_BASE_TEXT_FIELDS_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace masseter {

// Without blanks, tabs and carriage returns at both ends.
std::string_view Trim(std::string_view text);

// The whole text as a finite number, a leading '+' allowed; else nullopt.
std::optional<double> ParseNumber(std::string_view text);

// Fields of one line, trimmed. A field in double quotes may hold the
// separator, and "" inside it is one quote (RFC 4180).
std::vector<std::string> SplitFields(std::string_view line, char separator);

// Walks over the lines that say something: not blank, not a comment (#). A
// byte-order mark is passed over. The text must outlive it.
class TextLines {
 public:
  explicit TextLines(std::string_view text);
  // The next such line without its end; nullopt behind the last.
  std::optional<std::string_view> Next();
  // Of the line that Next gave, counted from 1 over all lines.
  int number() const { return number_; }

 private:
  std::string_view rest_;
  int number_ = 0;
};

// The separator of a header line: ';' or a tab where it has one, else ','.
char SeparatorOf(std::string_view header);

}  // namespace masseter

#endif  // MASSETER_CORE_BASE_TEXT_FIELDS_H_
