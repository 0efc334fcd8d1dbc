#pragma once
// The version of the program, as `isoseam --version` and every record state it.

namespace isoseam {
inline constexpr const char* kProgramVersion = "0.1.0";
}  // namespace isoseam
