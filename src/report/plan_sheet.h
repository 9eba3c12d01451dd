// The sheet of a planned day: who bites when, with room to write, and the usual
// cautions. One HTML file for A4 paper that needs nothing else.
#ifndef MASSETER_REPORT_PLAN_SHEET_H_
#define MASSETER_REPORT_PLAN_SHEET_H_

#include <string>
#include <string_view>
#include <vector>

namespace masseter::report {

struct PlanSheetTurn {
  int day = 1;
  std::string clock;  // "0:12" after the day's first bite
  std::string dog;
  std::string bite;       // "3", or "practice"
  std::string condition;  // empty when there are none
};

struct PlanSheet {
  std::string question;            // what the day is to answer
  std::vector<std::string> facts;  // what is planned, and how it was assumed
  bool conditions = false;
  std::vector<PlanSheetTurn> turns;
};

std::string PlanSheetHtml(const PlanSheet& sheet);

// The cautions, one sentence each; the terminal prints them too.
const std::vector<std::string_view>& PlanCautions();

}  // namespace masseter::report

#endif  // MASSETER_REPORT_PLAN_SHEET_H_
