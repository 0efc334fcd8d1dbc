#pragma once
// A row of whole numbers on the graphics card, for a shader to read one by one. It is made and destroyed
// while its context is current.

#include <GL/glew.h>

#include <cstdint>
#include <vector>

namespace isoseam {

class NumberRow {
  public:
    NumberRow();
    ~NumberRow();
    NumberRow(const NumberRow&) = delete;
    NumberRow& operator=(const NumberRow&) = delete;

    // Replaces all numbers. `format` says how the shader reads them: GL_R16UI; GL_R32UI; GL_RG32UI, two by
    // two. MachineError when they are more than the card takes.
    void set(GLenum format, const std::vector<std::uint16_t>& numbers);
    void set(GLenum format, const std::vector<std::uint32_t>& numbers);
    void bind(int texture_unit) const;

  private:
    void send(GLenum format, std::size_t count, std::size_t bytes, const void* numbers);

    GLuint buffer_ = 0;
    GLuint texture_ = 0;
};

}  // namespace isoseam
