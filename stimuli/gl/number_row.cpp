#include "stimuli/gl/number_row.h"

#include <fmt/format.h>

#include "base/errors.h"

namespace isoseam {

NumberRow::NumberRow() {
    glGenBuffers(1, &buffer_);
    glGenTextures(1, &texture_);
}

NumberRow::~NumberRow() {
    glDeleteTextures(1, &texture_);
    glDeleteBuffers(1, &buffer_);
}

void NumberRow::set(GLenum format, const std::vector<std::uint16_t>& numbers) {
    send(format, numbers.size(), numbers.size() * sizeof(std::uint16_t), numbers.data());
}

void NumberRow::set(GLenum format, const std::vector<std::uint32_t>& numbers) {
    send(format, format == GL_RG32UI ? numbers.size() / 2 : numbers.size(),
         numbers.size() * sizeof(std::uint32_t), numbers.data());
}

void NumberRow::send(GLenum format, std::size_t count, std::size_t bytes, const void* numbers) {
    GLint most = 0;
    glGetIntegerv(GL_MAX_TEXTURE_BUFFER_SIZE, &most);
    if (!(count <= static_cast<std::size_t>(most))) {
        throw MachineError(
            fmt::format("the field needs {} numbers on the graphics card, which takes {}", count, most),
            "make the field smaller or its edge sharper, or use a newer graphics card");
    }
    bind(0);
    glBindBuffer(GL_TEXTURE_BUFFER, buffer_);
    glBufferData(GL_TEXTURE_BUFFER, static_cast<GLsizeiptr>(bytes), numbers, GL_STATIC_DRAW);
    glTexBuffer(GL_TEXTURE_BUFFER, format, buffer_);
}

void NumberRow::bind(int texture_unit) const {
    glActiveTexture(GL_TEXTURE0 + static_cast<GLenum>(texture_unit));
    glBindTexture(GL_TEXTURE_BUFFER, texture_);
}

}  // namespace isoseam
