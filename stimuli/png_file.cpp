#include <fmt/format.h>
#include <png.h>

#include <string>
#include <vector>

#include "base/errors.h"
#include "stimuli/picture.h"

namespace isoseam {

namespace {

// Rows of the image as PNG wants them: one byte a sample, or two with the higher first.
std::vector<std::vector<png_byte>> png_rows(const CodeImage& image) {
    const std::size_t samples = static_cast<std::size_t>(image.width) * 3;
    const unsigned full = (1U << image.bits) - 1U;
    std::vector<std::vector<png_byte>> rows(static_cast<std::size_t>(image.height));
    for (std::size_t row = 0; row < rows.size(); ++row) {
        for (std::size_t i = 0; i < samples; ++i) {
            const unsigned code = image.codes[row * samples + i];
            if (image.bits == 8) {
                rows[row].push_back(static_cast<png_byte>(code));
            } else {
                const unsigned scaled = (code * 65535U + full / 2U) / full;
                rows[row].push_back(static_cast<png_byte>(scaled >> 8U));
                rows[row].push_back(static_cast<png_byte>(scaled & 0xffU));
            }
        }
    }
    return rows;
}

void append_bytes(png_structp png, png_bytep data, std::size_t size) {
    auto& bytes = *static_cast<std::string*>(png_get_io_ptr(png));
    bytes.insert(bytes.end(), data, data + size);
}

void no_flush(png_structp) {}

// libpng leaves a failure by longjmp, so nothing in here has a destructor.
bool encode(const CodeImage& image, std::vector<png_bytep>& rows, std::string& bytes) {
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
    png_infop info = png == nullptr ? nullptr : png_create_info_struct(png);
    if (info == nullptr || setjmp(png_jmpbuf(png)) != 0) {
        png_destroy_write_struct(&png, &info);
        return false;
    }
    png_set_write_fn(png, &bytes, append_bytes, no_flush);
    png_set_IHDR(png, info, static_cast<png_uint_32>(image.width), static_cast<png_uint_32>(image.height),
                 image.bits == 8 ? 8 : 16, PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    png_set_rows(png, info, rows.data());
    png_write_png(png, info, PNG_TRANSFORM_IDENTITY, nullptr);
    png_destroy_write_struct(&png, &info);
    return true;
}

}  // namespace

std::string png_bytes(const CodeImage& image) {
    ISOSEAM_CHECK(image.bits == 8 || image.bits == 10, fmt::format("bits = {}", image.bits));
    ISOSEAM_CHECK(image.width > 0 && image.height > 0 &&
                  image.codes.size() ==
                      static_cast<std::size_t>(image.width) * static_cast<std::size_t>(image.height) * 3);
    std::vector<std::vector<png_byte>> rows = png_rows(image);
    std::vector<png_bytep> row_pointers;
    row_pointers.reserve(rows.size());
    for (std::vector<png_byte>& row : rows)
        row_pointers.push_back(row.data());
    std::string bytes;
    if (!encode(image, row_pointers, bytes))
        throw MachineError("a picture could not be encoded", "free some memory and try again");
    return bytes;
}

}  // namespace isoseam
