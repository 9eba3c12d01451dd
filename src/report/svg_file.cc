#include "report/svg_file.h"

namespace masseter::report {
namespace {

constexpr std::string_view kStyle = R"css(<style>
svg{background:#fff;font:14px -apple-system,"Segoe UI",Roboto,"Liberation Sans",Arial,sans-serif}
text{fill:#54585e}
.ink{fill:#1a1c1f}
.small{font-size:12.5px}
.big{font-size:20px;font-weight:600;fill:#1a1c1f}
.title{font-size:17px;font-weight:600;fill:#1a1c1f}
.grid{stroke:#d9d5cb;stroke-width:.6}
.zero{stroke:#54585e;stroke-width:1}
.line{stroke:#1a1c1f;stroke-width:1.6;fill:none}
.fit{stroke:#0b4f8a;stroke-width:2;fill:none}
.axis2{stroke:#9a5b00;stroke-width:2;stroke-dasharray:7 4;fill:none}
.limit{stroke:#9a5b00;stroke-width:1.5;stroke-dasharray:6 4}
.band{fill:#0b4f8a;fill-opacity:.1}
.bracket{fill:#0b4f8a;fill-opacity:.45}
.back{fill:#54585e;fill-opacity:.1;stroke:#54585e;stroke-width:.7;stroke-dasharray:2 3}
.dot{fill:#0b4f8a;fill-opacity:.8;stroke:#fff;stroke-width:1}
.odd{fill:#fff;stroke:#9a5b00;stroke-width:2.4}
.push{stroke:#0b4f8a;stroke-width:5;fill:none}
.head{fill:#0b4f8a}
.foot{fill:#e6e2d8;stroke:#1a1c1f;stroke-width:1.5;stroke-linejoin:round}
.area{fill:#9a5b00}
.interval{fill:#0b4f8a;fill-opacity:.16}
.area2{fill:#0b4f8a;fill-opacity:.85}
.v-sound{color:#0b4f8a}.v-doubtful{color:#9a5b00}.v-void{color:#8f1d1d}
.shape.full{fill:currentColor}
.shape.open{fill:#fff;stroke:currentColor;stroke-width:1.3}
.shape.bar{stroke:currentColor;stroke-width:1.6}
.net{stroke:#9a5b00;stroke-width:1;fill:none}
@media (max-width:560px){svg{font-size:19px}.small{font-size:14px}.big{font-size:24px}.title{font-size:23px}}
</style>
)css";

}  // namespace

std::string SvgFile(std::string_view svg) {
  std::string out = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
  const std::size_t name_end = svg.find("<svg") + 4;
  const std::size_t tag_end = svg.find('>', name_end) + 1;
  out += svg.substr(0, name_end);
  out += " xmlns=\"http://www.w3.org/2000/svg\"";
  out += svg.substr(name_end, tag_end - name_end);
  out += '\n';
  out += kStyle;
  out += svg.substr(tag_end);
  if (out.back() != '\n') out += '\n';
  return out;
}

}  // namespace masseter::report
