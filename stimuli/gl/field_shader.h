#pragma once
// The fragment shader that draws a field.

namespace isoseam {

extern const char* const kFieldShader;

}  // namespace isoseam
