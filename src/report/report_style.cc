#include "report/report_style.h"

namespace masseter::report {

std::string_view StyleSheet() {
  return R"css(
:root{--paper:#fbfaf7;--ink:#1a1c1f;--soft:#54585e;--line:#d9d5cb;
--blue:#0b4f8a;--ochre:#9a5b00;--brick:#8f1d1d;--band:#eef1f2;--strip:#e6e2d8}
@page{size:A4;margin:15mm 15mm 17mm;
@bottom-right{content:counter(page) " / " counter(pages);
font:8pt -apple-system,"Segoe UI",Roboto,"Liberation Sans",Arial,sans-serif;color:#54585e}}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%;text-size-adjust:100%}
body{margin:0 auto;padding:28px 24px 64px;max-width:780px;color:var(--ink);
background:var(--paper);font:16px/1.5 Charter,"Bitstream Charter","Iowan Old Style",
Georgia,"Liberation Serif",serif;font-variant-numeric:lining-nums tabular-nums;
overflow-wrap:break-word;print-color-adjust:exact;-webkit-print-color-adjust:exact}
h1,h2,h3,p,ul,dl,figure,table{margin:0}
h1{font-size:30px;line-height:1.15;font-weight:600;letter-spacing:-.01em}
h2{font-size:23px;line-height:1.2;font-weight:600;margin:0 0 10px}
h3{font-size:17px;line-height:1.3;font-weight:600}
h3 small{display:block;font-weight:400;color:var(--soft);font-size:13px}
a{color:inherit;text-decoration-color:var(--line);text-underline-offset:3px}
section{margin-top:52px}
.kind{color:var(--blue);font-size:14px;margin-bottom:6px}
.rig,.about{color:var(--soft);font-size:14px;margin-top:6px}
.how{font-size:14px;color:var(--soft);margin-top:10px}
.five{margin-top:22px;border-top:1px solid var(--line)}
.five dt{float:left;clear:left;width:150px;padding-top:13px;color:var(--soft);
font-size:14px}
.five dd{margin:0;padding:11px 0 12px 166px;border-bottom:1px solid var(--line)}
.five strong{font-weight:600}
.peak{display:grid;grid-template-columns:auto auto 1fr;column-gap:8px;
align-items:baseline;font-size:20px;line-height:1.2}
.peak .mark{align-self:center}
.peak b{font-size:14px;font-weight:600}
.peak small{grid-column:2/4;font-size:13px;color:var(--soft)}
.figure{font-weight:600;white-space:nowrap}
.hero .peak{font-size:44px;line-height:1.1;column-gap:12px;margin:2px 0 8px}
.hero .peak b{font-size:17px}
.hero .peak small{font-size:15px}
.mark{width:.82em;height:.82em;display:inline-block;vertical-align:-.06em}
td .mark{margin-right:.4em}
.v-sound{color:var(--blue)}.v-doubtful{color:var(--ochre)}.v-void{color:var(--brick)}
.legend{list-style:none;padding:0;margin-top:14px;display:grid;
grid-template-columns:1fr 1fr;gap:4px 24px;font-size:13.5px;color:var(--soft)}
.legend li{display:flex;gap:9px;align-items:baseline}
.legend .mark{flex:none;width:13px;height:13px;vertical-align:0;
position:relative;top:2px}
nav{margin-top:22px;font-size:14px;color:var(--soft);display:flex;
flex-wrap:wrap;gap:2px 16px}
figure{margin:12px 0 0}
figcaption,caption{font-size:13.5px;line-height:1.45;color:var(--soft);
text-align:left}
figcaption{margin-top:2px}
caption{padding-bottom:8px;max-width:calc(100vw - 32px)}
.wide{overflow-x:auto;margin-top:22px}
table{border-collapse:collapse;width:100%;font-size:14px;line-height:1.4}
th{font-weight:400;text-align:left;vertical-align:top;padding:6px 16px 6px 0}
td{vertical-align:top;padding:6px 16px 6px 0}
thead th{color:var(--soft);font-size:13px;vertical-align:bottom;
border-bottom:1px solid var(--soft)}
tbody tr{border-bottom:1px solid var(--line)}
tbody th small{display:block;color:var(--soft);font-size:12.5px}
th.who{overflow-wrap:anywhere;min-width:8.5em}
td.when{white-space:nowrap}
td.long{overflow-wrap:anywhere;min-width:9em}
.n{text-align:right;white-space:nowrap}
.f{text-align:right;white-space:nowrap}
th:last-child,td:last-child{padding-right:0}
.facts{margin-bottom:6px}
.facts th{color:var(--soft);width:15em}
article{margin-top:26px;padding-top:16px;border-top:1px solid var(--line)}
.head{display:flex;justify-content:space-between;gap:8px 24px;flex-wrap:wrap;
align-items:baseline}
.measures{display:grid;grid-template-columns:repeat(auto-fill,minmax(128px,1fr));
gap:8px 16px;margin-top:10px}
.measures dt{font-size:12.5px;color:var(--soft);line-height:1.3}
.measures dd{margin:0;font-size:15px;line-height:1.3}
.two{grid-column:span 2}
.reasons{padding:0;margin-top:12px;list-style:none;font-size:14.5px}
.reasons li{padding-left:14px;border-left:2px solid var(--ochre);margin-top:6px}
.budget{margin-top:10px;font-size:13.5px;color:var(--soft)}
.plain{font-size:18px;border-left:3px solid var(--brick);padding-left:16px}
.points{display:grid;grid-template-columns:150px 1fr;gap:9px 16px;margin-top:12px}
.points dt{font-weight:600}
.points dd{margin:0}
.plot{display:block;width:100%;height:auto;overflow:visible;
font:12px -apple-system,"Segoe UI",Roboto,"Liberation Sans",Arial,sans-serif;
font-variant-numeric:tabular-nums}
.plot text{fill:var(--soft);stroke:var(--paper);stroke-width:3px;
stroke-linejoin:round;paint-order:stroke}
.plot .axis{font-size:11.5px}
.plot .name{font-size:13px;fill:var(--ink);font-weight:600;stroke-width:9px}
.plot .count{font-weight:400;fill:var(--soft);font-size:11.5px}
.plot .note{font-size:11px;stroke:none}
.plot .why{font-size:11px;fill:var(--ochre);stroke-width:7px}
.grid{stroke:var(--line);stroke-width:.6}
.zero{stroke:var(--soft);stroke-width:1}
.rule{stroke:var(--line);stroke-width:1}
.range{fill:var(--band)}
.strike{fill:var(--strip);opacity:.75}
.gap{fill:var(--paper)}
.hatch{stroke:var(--ochre);stroke-width:.9;fill:none;opacity:.8}
.trace{fill:var(--ink);stroke:var(--ink);stroke-width:1.15;stroke-linejoin:round}
.beyond{fill:none;stroke-dasharray:4 2.6}
.squeeze{stroke:var(--blue);stroke-width:4}
.regrip{stroke:var(--ink);stroke-width:2;fill:none}
.evidence{fill:var(--ochre)}
.whisker{stroke:currentColor;stroke-width:1.5}
.shape.full{fill:currentColor}
.shape.open{fill:var(--paper);stroke:currentColor;stroke-width:1.3}
.shape.bar{stroke:currentColor;stroke-width:1.6}
.reading{stroke:var(--blue);stroke-width:1.1}
.reading.up{fill:var(--blue);fill-opacity:.75}
.reading.down{fill:none}
.study .plot{font-size:13px}
.study .plot .axis{font-size:13px}
.study .plot .small{font-size:12px;stroke:none}
.study .plot .ink{fill:var(--ink)}
.study .line{stroke:var(--ink);stroke-width:1.6;fill:none}
.study .fit{stroke:var(--blue);stroke-width:2;fill:none}
.study .axis2{stroke:var(--ochre);stroke-width:2;stroke-dasharray:7 4;fill:none}
.study .limit{stroke:var(--ochre);stroke-width:1.5;stroke-dasharray:6 4}
.study .band{fill:var(--blue);fill-opacity:.1}
.study .back{fill:var(--soft);fill-opacity:.1;stroke:var(--soft);stroke-width:.7;
stroke-dasharray:2 3}
.study .dot{fill:var(--blue);fill-opacity:.8;stroke:var(--paper);stroke-width:1}
.study .odd{fill:var(--paper);stroke:var(--ochre);stroke-width:2.4}
.study .interval{fill:var(--blue);fill-opacity:.16}
.study .area2{fill:var(--blue);fill-opacity:.85}
.says{margin:12px 0 0;padding-left:20px}
.says li{margin-top:6px}
@media (max-width:560px){
body{padding:20px 16px 48px}
h1{font-size:25px}
.five dt{float:none;width:auto;padding-top:12px}
.five dd{padding:2px 0 12px}
.hero .peak{font-size:33px;column-gap:9px}
.legend{grid-template-columns:1fr}
.points{display:block}.points dt{margin-top:10px}
.measures{grid-template-columns:repeat(auto-fill,minmax(104px,1fr))}
.plot{font-size:19px}
.plot .axis,.plot .count,.plot .note,.plot .why{font-size:18px}
.plot .name{font-size:21px}
.study .plot,.study .plot .axis{font-size:19px}
.study .plot .small{font-size:12.5px}
.facts th{width:9em}
}
@media print{
:root{--paper:#fff}
body{max-width:none;padding:0;font-size:10.5pt;line-height:1.42}
h1{font-size:20pt}h2{font-size:15pt}h3{font-size:11.5pt}
nav{display:none}
section{margin-top:9mm}#day{margin-top:5mm}
.dog,.page{break-before:page;margin-top:0}
figure,tr,.whole,.measures,.head,.five dd,.points dd,.reasons li{break-inside:avoid}
article{break-inside:avoid;margin-top:4.5mm;padding-top:3mm}
h2,h3,.head,.points dt,caption{break-after:avoid}
.wide{overflow:visible;margin-top:5mm}
.rig,.about,.how,.kind{font-size:9.5pt}
.five dt{font-size:9.5pt}
.hero .peak{font-size:28pt;margin:0 0 1.5mm}
.five{margin-top:4mm}.five dt{padding-top:2.2mm}.five dd{padding-top:1.8mm;padding-bottom:2mm}
.legend{margin-top:2.5mm}figure{margin-top:2mm}.reasons,.budget{margin-top:2mm}
.peak{font-size:14pt}.peak b{font-size:10.5pt}.peak small,h3 small{font-size:8.8pt}
figcaption,caption,.legend,.budget{font-size:8.8pt}
table,.reasons{font-size:9.5pt}
.measures{grid-template-columns:repeat(6,1fr);gap:1.6mm 4mm}
.measures dt{font-size:8.2pt}.measures dd{font-size:9.8pt}
a{text-decoration:none}
}
)css";
}

}  // namespace masseter::report
