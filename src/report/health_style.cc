#include "report/health_style.h"

namespace masseter::report {

std::string_view HealthStyle() {
  return R"css(
@page{size:A4;margin:14mm 15mm 14mm}
.health{max-width:820px}
.health header{display:flex;justify-content:space-between;align-items:flex-end;
gap:8px 32px;border-bottom:1.5px solid var(--ink);padding-bottom:10px}
.health header .kind{margin:0}
.health h1{overflow-wrap:anywhere}
.which{text-align:right;font-size:14px;display:flex;flex-direction:column;
overflow-wrap:anywhere}
.which span{color:var(--soft)}
.answer{display:flex;align-items:center;gap:14px 32px;margin-top:26px}
.answer .word{font-size:84px;line-height:1;font-weight:600;letter-spacing:-.02em;
white-space:nowrap;display:flex;align-items:center;gap:.22em}
.answer .word .mark{width:.72em;height:.72em}
.answer .so{font-size:19px;line-height:1.35}
.health section{margin-top:30px}
.health h2{font-size:17px;margin:0 0 4px}
.do{list-style:none;margin:14px 0 0;padding:0}
.do li{border-left:3px solid currentColor;padding:1px 0 2px 14px;margin-top:9px}
.do b{font-weight:600}
.do span{color:var(--ink);font-size:15px}
.lines td{padding:5px 16px 5px 0}
.lines thead th{padding-bottom:4px}
.lines .level{white-space:nowrap;width:5.2em}
.lines .what{width:9em;overflow-wrap:anywhere}
.lines .found{overflow-wrap:anywhere}
.lines .limit{color:var(--soft);width:20.5em}
.lines .held{font-weight:600}
.health figure{margin-top:14px;break-inside:avoid}
.thirds{display:grid;grid-template-columns:repeat(3,minmax(0,1fr));gap:0 20px}
.thirds .plot{font-size:11px}.thirds .plot .axis{font-size:11px}
.health figcaption{font-size:13px;line-height:1.4}
.zero-all{stroke:var(--ink);stroke-width:2;fill:none;stroke-linejoin:round}
.zero-one{stroke:var(--blue);stroke-width:1.1;fill:none;stroke-linejoin:round}
.zero-one.d1{stroke-dasharray:6 2.5}.zero-one.d2{stroke-dasharray:2 2}
.zero-one.d3{stroke-dasharray:8 2.5 2 2.5}
.plot .end{font-size:11.5px}.plot .end.all{fill:var(--ink);font-weight:600}
.restart{stroke:var(--brick);stroke-width:1.6}
.bar{fill:var(--blue)}.bar.v-doubtful{fill:var(--ochre)}.bar.v-void{fill:var(--brick)}
.edge{stroke:var(--ochre);stroke-width:1.3;stroke-dasharray:4 2.6}
.edge.hard{stroke:var(--brick);stroke-dasharray:none}
.supply{stroke:var(--ink);stroke-width:1.6;fill:none;stroke-linejoin:round}
.quiet{color:var(--soft);font-size:13px;margin-top:22px}
@media (max-width:560px){
.health header{display:block}.which{text-align:left;margin-top:8px}
.answer{display:block}.answer .word{font-size:72px}.answer .so{margin-top:10px;font-size:18px}
.thirds{grid-template-columns:minmax(0,1fr)}
.thirds .plot{font-size:8px}.thirds .plot .axis{font-size:8px}
.health figcaption{margin-top:9px}
.thirds figure{margin-top:14px}.health .thirds figcaption{margin-top:-12px}
.plot .end{font-size:15px}
.lines thead{display:none}
.lines tr{display:grid;grid-template-columns:5.2em minmax(0,1fr);padding:7px 0}
.lines td{padding:0}
.lines .level{grid-row:1/4}.lines .what,.lines .limit{width:auto}
.lines .what{font-weight:600}
}
@media print{
.health{font-size:9.5pt;line-height:1.35}
.health header{padding-bottom:1.6mm}
.health h1{font-size:16pt}.health .kind,.which{font-size:8.8pt;line-height:1.3}
.answer{margin-top:5mm;gap:0 9mm}
.answer .word{font-size:50pt}.answer .so{font-size:12.5pt}
.health section{margin-top:5mm}
.health .page{margin-top:0}.health h2{font-size:11pt;margin-bottom:.5mm}
.do{margin-top:2.5mm}.do li{margin-top:1.4mm;padding-left:3mm;break-inside:avoid}
.do span{font-size:9pt}
.lines{font-size:8.3pt;line-height:1.22}
.lines td{padding:.6mm 4mm .6mm 0}.lines thead th{font-size:8pt;padding-bottom:.6mm}
.health figure{margin-top:4mm}.health figcaption{font-size:8pt;line-height:1.3}
.thirds{gap:0 5mm}
.quiet{font-size:8pt;margin-top:5mm}
}
)css";
}

}  // namespace masseter::report
