// QR codes on a terminal, two modules high in one character.
#ifndef MASSETER_CLI_QR_TERMINAL_H_
#define MASSETER_CLI_QR_TERMINAL_H_

#include <string>
#include <vector>

namespace masseter::cli {

// Lines that show the modules ('1' dark, as QrModules gives them) with the
// quiet zone of four modules around them. In colour: black on white whatever
// the terminal's own colours are. Without: light modules are what is drawn, so
// that the code is right way round on a dark terminal only.
std::vector<std::string> QrLines(const std::vector<std::string>& rows,
                                 bool coloured);

// Columns that QrLines takes.
std::size_t QrColumns(const std::vector<std::string>& rows);

}  // namespace masseter::cli

#endif  // MASSETER_CLI_QR_TERMINAL_H_
