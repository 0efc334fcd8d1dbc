// Captions below fields of every form, without a screen.

#include "stimuli/gl/caption_drawing.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "stimuli/gl/field_drawing.h"
#include "support/offscreen.h"
#include "support/random_picture.h"

using namespace isoseam;

namespace {

constexpr int kWidth = 640;
constexpr int kHeight = 480;

// Where two drawings differ.
struct Changes {
    int count = 0;
    int first_row = kHeight;
    int last_row = -1;
    double middle_column = 0.0;
    int largest_code = 0;  // of the second drawing there
};
Changes changes(const CodeImage& before, const CodeImage& after) {
    Changes found;
    double columns = 0.0;
    for (int row = 0; row < kHeight; ++row) {
        for (int column = 0; column < kWidth; ++column) {
            bool same = true;
            for (int channel = 0; channel < 3; ++channel)
                same = same && before.at(column, row, channel) == after.at(column, row, channel);
            if (same)
                continue;
            ++found.count;
            columns += column + 0.5;
            found.first_row = std::min(found.first_row, row);
            found.last_row = std::max(found.last_row, row);
            found.largest_code = std::max(found.largest_code, static_cast<int>(after.at(column, row, 1)));
        }
    }
    found.middle_column = columns / std::max(1, found.count);
    return found;
}

FieldPicture example(std::uint64_t index, double height_px, int bits, const LinearDrive& surround) {
    FieldPicture picture = test::random_picture(index, bits, kWidth, kHeight, {DitherKind::ordered, 7, 0});
    FieldGeometry field = picture.layout.geometry();
    const auto of_px = [](double pixels) { return Degrees::from_extent_mm(0.25 * pixels, 600.0); };
    field.size = of_px(height_px);
    field.inner_size = of_px(0.45 * height_px);
    field.ring_size = Degrees{};
    field.edge_width = Degrees{};
    picture.ring_second.reset();
    picture.layout = FieldLayout(field, picture.layout.viewing());
    picture.surround = region_light(surround, test::invented_display(), bits);
    return picture;
}

}  // namespace

TEST_CASE("a caption stands below the field, in its middle, and touches none of the field's pixels") {
    const int bits = GENERATE(8, 10);
    const LinearDrive black{Eigen::Vector3d::Zero()};
    const test::OffscreenContext context;
    const test::OffscreenBuffer buffer(kWidth, kHeight, bits);
    FieldDrawing fields;
    CaptionDrawing captions;
    const PageSetter setter;
    for (std::uint64_t index = 0; index < 12; ++index) {
        CAPTURE(bits, index);
        const FieldPicture picture = example(index, 200.0, bits, black);
        fields.draw(picture);
        const CodeImage alone = buffer.codes();
        REQUIRE(alone.codes == draw_reference(picture).codes);
        REQUIRE(captions.draw("Two lights: how alike are they?", picture, setter));
        const Changes found = changes(alone, buffer.codes());
        CHECK(found.count > 300);
        const ViewingGeometry& viewing = picture.layout.viewing();
        CHECK(found.first_row > viewing.centre_y_px + picture.layout.extent_px());
        CHECK(found.last_row < kHeight - 1);
        // Ink is not spread evenly over letters.
        CHECK(found.middle_column == Approx(viewing.centre_x_px).margin(20.0));
        // Dim: about half of full drive on black.
        CHECK(found.largest_code == Approx(0.47 * ((1 << bits) - 1)).margin(1.0));
        // The field that follows is drawn as if there had been no caption.
        fields.draw(picture);
        CHECK(buffer.codes().codes == alone.codes);
    }
}

TEST_CASE("on a light surround a caption is black, and other words make another drawing") {
    const test::OffscreenContext context;
    const test::OffscreenBuffer buffer(kWidth, kHeight, 8);
    FieldDrawing fields;
    CaptionDrawing captions;
    const PageSetter setter;
    const FieldPicture picture = example(1, 200.0, 8, LinearDrive{Eigen::Vector3d::Constant(0.5)});
    const auto drawn = [&](const std::string& words) {
        fields.draw(picture);
        CHECK(captions.draw(words, picture, setter));
        return buffer.codes();
    };
    fields.draw(picture);
    const CodeImage alone = buffer.codes();
    const CodeImage short_one = drawn("Two lights");
    const CodeImage long_one = drawn("Two lights of one screen");
    CHECK(changes(alone, short_one).largest_code <= picture.surround.code[1]);
    CHECK(changes(alone, long_one).count > changes(alone, short_one).count);
    CHECK(drawn("Two lights").codes == short_one.codes);
}

TEST_CASE("a field that leaves no room below it is shown without its caption") {
    const test::OffscreenContext context;
    const test::OffscreenBuffer buffer(kWidth, kHeight, 8);
    FieldDrawing fields;
    CaptionDrawing captions;
    const PageSetter setter;
    const FieldPicture picture = example(1, 455.0, 8, LinearDrive{Eigen::Vector3d::Zero()});
    fields.draw(picture);
    const CodeImage alone = buffer.codes();
    CHECK_FALSE(captions.draw("Two lights", picture, setter));
    CHECK(buffer.codes().codes == alone.codes);
    // Nor where a word is wider than the screen.
    CHECK_FALSE(captions.draw(std::string(200, 'm'),
                              example(1, 200.0, 8, LinearDrive{Eigen::Vector3d::Zero()}), setter));
}
