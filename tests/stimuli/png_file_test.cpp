#include <png.h>

#include <catch2/catch.hpp>
#include <cstdio>

#include "base/errors.h"
#include "stimuli/picture.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;

namespace {

// Reads with libpng's own high-level reader, undoing nothing: samples as they are in the file.
struct PngSamples {
    int width = 0;
    int height = 0;
    int bit_depth = 0;
    std::vector<unsigned> samples;
};

PngSamples read_png(const std::string& path) {
    std::FILE* file = std::fopen(path.c_str(), "rb");
    REQUIRE(file != nullptr);
    png_structp png = png_create_read_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
    png_infop info = png_create_info_struct(png);
    png_init_io(png, file);
    png_read_png(png, info, PNG_TRANSFORM_IDENTITY, nullptr);
    PngSamples read{static_cast<int>(png_get_image_width(png, info)),
                    static_cast<int>(png_get_image_height(png, info)),
                    png_get_bit_depth(png, info),
                    {}};
    REQUIRE(png_get_color_type(png, info) == PNG_COLOR_TYPE_RGB);
    const std::size_t bytes = read.bit_depth == 16 ? 2 : 1;
    png_bytepp rows = png_get_rows(png, info);
    for (int row = 0; row < read.height; ++row) {
        for (std::size_t i = 0; i < static_cast<std::size_t>(read.width) * 3; ++i) {
            const png_byte* at = rows[row] + i * bytes;
            read.samples.push_back(bytes == 2 ? (unsigned{at[0]} << 8U) + at[1] : unsigned{at[0]});
        }
    }
    png_destroy_read_struct(&png, &info, nullptr);
    std::fclose(file);
    return read;
}

CodeImage ramp(int bits) {
    CodeImage image{64, 6, bits, {}};
    for (int i = 0; i < 64 * 6 * 3; ++i)
        image.codes.push_back(static_cast<std::uint16_t>(i % (1 << bits)));
    return image;
}

}  // namespace

TEST_CASE("8-bit pictures come back from PNG code by code") {
    const test::TemporaryFolder folder;
    const CodeImage image = ramp(8);
    test::write_file(folder.file("field.png"), png_bytes(image));
    const PngSamples read = read_png(folder.path() + "/field.png");
    CHECK(read.bit_depth == 8);
    CHECK(read.width == 64);
    CHECK(read.height == 6);
    CHECK(read.samples == std::vector<unsigned>(image.codes.begin(), image.codes.end()));
}

TEST_CASE("10-bit pictures become 16-bit PNG with full code at full") {
    const test::TemporaryFolder folder;
    const CodeImage image = ramp(10);
    test::write_file(folder.file("field.png"), png_bytes(image));
    const PngSamples read = read_png(folder.path() + "/field.png");
    CHECK(read.bit_depth == 16);
    REQUIRE(read.samples.size() == image.codes.size());
    CHECK(read.samples[1023] == 65535);
    CHECK(read.samples[0] == 0);
    std::size_t wrong = 0;
    for (std::size_t i = 0; i < image.codes.size(); ++i)
        wrong += (read.samples[i] * 1023 + 32767) / 65535 == image.codes[i] ? 0 : 1;
    CHECK(wrong == 0);
}
