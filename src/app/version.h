// The program's version, as CMake's project() states it.
#ifndef MASSETER_APP_VERSION_H_
#define MASSETER_APP_VERSION_H_

namespace masseter {

inline constexpr const char* kProgramVersion = MASSETER_PROGRAM_VERSION;

}  // namespace masseter

#endif  // MASSETER_APP_VERSION_H_
