#include "report/certificate_style.h"

namespace masseter::report {

std::string_view CertificateStyle() {
  return R"css(
@page{size:A4;margin:10mm 13mm 9mm;@bottom-right{content:none}}
.certificate{max-width:860px}
.certificate header{display:flex;justify-content:space-between;
gap:8px 32px;align-items:flex-end;border-bottom:1.5px solid var(--ink);padding-bottom:10px}
.certificate .kind{margin:0}
.standing{display:flex;flex-direction:column;text-align:right;font-size:14px;
flex:0 1 27em;overflow-wrap:anywhere}
.standing span{color:var(--ochre)}
.certificate section{margin-top:18px}
.certificate h2{font-size:15px;color:var(--blue);margin:0 0 3px}
.certificate table{font-size:13px;line-height:1.3}
.certificate th,.certificate td{padding:3px 10px 3px 0}
.certificate .facts th{width:9.5em}
.certificate td,.certificate th{overflow-wrap:anywhere}
.certificate .n{overflow-wrap:normal;padding-left:4px;padding-right:4px}
.certificate .n:last-child{padding-right:0}
.two-up{display:grid;grid-template-columns:1fr 1fr;gap:0 28px}
.last{grid-template-columns:2fr 3fr}
.certificate .last .facts th{width:6.5em}
.certificate .statement h2{font-size:22px;color:var(--ink)}
.statement{border-left:3px solid var(--blue);padding-left:14px;font-size:14px}
.results{display:grid;grid-template-columns:minmax(0,1fr) minmax(0,2fr);gap:0 28px}
.certificate thead th{font-size:12px}
sub{font-size:.75em;line-height:0}
.pictures{display:grid;grid-template-columns:1fr 1fr;gap:0 18px}
.certificate figure{margin-top:12px}
.over{overflow-x:auto}
.fitted{stroke:var(--soft);stroke-width:1.2}
.note{font-size:12.5px;line-height:1.35;color:var(--soft);margin-top:4px}
.certificate .reasons{margin-top:2px;font-size:13px;line-height:1.35}
.certificate .reasons li{margin-top:3px;padding-left:10px}
.certificate .quiet{border-left-color:var(--line);color:var(--soft)}
.certificate footer{display:grid;grid-template-columns:1fr 1fr auto;gap:0 28px;
margin-top:56px;font-size:13px;color:var(--soft);overflow-wrap:anywhere}
.line{border-top:1px solid var(--ink);padding-top:3px}
.made{align-self:start;padding-top:3px}
@media (max-width:560px){
.two-up,.results{grid-template-columns:minmax(0,1fr)}
.certificate header{display:block}
.pictures{grid-template-columns:1fr}
.standing{text-align:left}
.certificate .plot{font-size:12px}
.certificate .plot .axis{font-size:12px}
.certificate .map .plot,.certificate .map .plot .axis{font-size:18px}
.certificate footer{grid-template-columns:1fr;gap:40px 0}
}
@media print{
.certificate{font-size:8pt;line-height:1.3}
.certificate header{padding-bottom:1.5mm;gap:0 8mm}
.certificate h1{font-size:13.5pt}
.certificate .kind,.standing{font-size:8pt;line-height:1.2}
.certificate section{margin-top:2mm}
.certificate h2{font-size:8.8pt;margin-bottom:.4mm}
.certificate table{font-size:7.2pt;line-height:1.18}
.certificate thead th{font-size:6.8pt}
.certificate th,.certificate td{padding:.32mm 2mm .32mm 0}
.certificate .n{padding-left:.6mm;padding-right:.6mm}
.two-up,.results{gap:0 7mm}
.certificate .statement h2{font-size:11pt}
.statement{font-size:7.3pt;padding-left:3mm;line-height:1.25}
.certificate figure{margin-top:2mm}
.pictures{gap:0 5mm}
.note{font-size:6.6pt;line-height:1.25;margin-top:.7mm}
.certificate .reasons{font-size:7pt;line-height:1.22;margin-top:.4mm}
.certificate .reasons li{margin-top:.6mm;padding-left:2.2mm}
.over{overflow:visible}
.certificate footer{margin-top:8mm;font-size:7.5pt;gap:0 7mm}
}
)css";
}

}  // namespace masseter::report
