#pragma once

namespace isoseam {
inline constexpr const char* kProgramVersion = "0.1.0";
}  // namespace isoseam
