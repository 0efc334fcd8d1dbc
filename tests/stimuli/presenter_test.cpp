// The shader against the reference on the CPU, on virtual screens with frame buffers of 8 and of 10 bits.

#include "stimuli/gl/presenter.h"

#include <fmt/format.h>

#include <catch2/catch.hpp>

#include "base/random.h"
#include "support/invented_display.h"
#include "support/virtual_screen.h"

using namespace isoseam;

namespace {

constexpr int kWidth = 320;
constexpr int kHeight = 240;
constexpr std::uint32_t kStreamTargets = 1001;

ViewingGeometry viewing_of(const ScreenInfo& info) {
    ViewingGeometry viewing;
    viewing.distance_mm = 600.0;
    viewing.pixel_pitch_mm = 0.25;
    viewing.width_px = info.width_px;
    viewing.height_px = info.height_px;
    viewing.centre_x_px = info.width_px / 2.0;
    viewing.centre_y_px = info.height_px / 2.0;
    return viewing;
}

FieldGeometry disc(double size_deg) {
    FieldGeometry geometry;
    geometry.size = Degrees::from_degrees(size_deg);
    return geometry;
}

PresenterOptions small_window() {
    PresenterOptions options;
    options.full_screen = false;
    options.width_px = kWidth;
    options.height_px = kHeight;
    return options;
}

// The depth of the X screen and of the frame buffer that it must give.
struct Depth {
    int screen;
    int bits;
};

// A random target inside the gamut, found as excitations.
Lms random_target(const DriveSolver& solver, std::uint64_t index) {
    const RandomStream random{20261125, kStreamTargets};
    Eigen::Vector3d fractions;
    for (int k = 0; k < 3; ++k)
        fractions[k] = random.uniform(3 * index + static_cast<std::uint64_t>(k));
    return solver.lms(LinearDrive{fractions});
}

std::array<std::uint16_t, 3> pixel(const CodeImage& image, int column, int row) {
    return {image.at(column, row, 0), image.at(column, row, 1), image.at(column, row, 2)};
}

// Pixels whose interior colour is not `code`, over the whole image.
struct Region {
    const RegionLight* light;
    double RegionShares::*share;
};

int wrong_pixels(const CodeImage& image, const FieldLayout& layout, const std::vector<bool>& interior,
                 const std::array<Region, 3>& regions) {
    int wrong = 0;
    for (int row = 0; row < image.height; ++row) {
        for (int column = 0; column < image.width; ++column) {
            if (!interior[static_cast<std::size_t>(row) * static_cast<std::size_t>(image.width) +
                          static_cast<std::size_t>(column)])
                continue;
            const RegionShares shares = layout.shares(column, row);
            for (const Region& region : regions) {
                if (shares.*region.share == 1.0 && pixel(image, column, row) != region.light->code)
                    ++wrong;
            }
        }
    }
    return wrong;
}

// Worst distance in codes between what codes emit by the model and the target, in drive.
double codes_off_target(const RegionLight& shown, const Lms& target, const DriveSolver& solver, int bits) {
    const DriveSolution wanted = solver.solve(target);
    REQUIRE(wanted.in_gamut);
    const double full = (1 << bits) - 1;
    const Drive drive = solver.display().drive_from_linear(wanted.linear);
    const DriveCode code{{shown.code.begin(), shown.code.end()}, bits};
    const Drive emitted = solver.display().drive_from_linear(linear_from_code(code, solver.display()));
    return (emitted.fractions - drive.fractions).cwiseAbs().maxCoeff() * full;
}

}  // namespace

TEST_CASE(
    "for 1,000 targets every pixel inside a region has the predicted code, half a code from the target") {
    const Depth depth = GENERATE(Depth{24, 8}, Depth{30, 10});
    const test::VirtualScreen screen(640, 480, depth.screen);
    screen.use();
    VideoSystem video;
    Presenter presenter(video, small_window());
    REQUIRE(presenter.info().bits == depth.bits);
    REQUIRE(presenter.info().width_px == kWidth);
    REQUIRE(presenter.info().height_px == kHeight);
    presenter.keep_read_back(true);

    const DisplayModel display = test::invented_display();
    const DriveSolver solver(display, Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0)));
    const ToneTable tone = tone_table(display);
    const FieldLayout layout(disc(4.0), viewing_of(presenter.info()));
    std::vector<bool> interior;
    for (int row = 0; row < kHeight; ++row) {
        for (int column = 0; column < kWidth; ++column)
            interior.push_back(layout.is_interior(column, row));
    }
    // All but the edges: the outline of a disc of 168 pixels and the split count for a few percent.
    REQUIRE(std::count(interior.begin(), interior.end(), true) > kWidth * kHeight * 95 / 100);

    // Three targets a picture, 1,002 in all.
    int wrong = 0;
    double worst_codes = 0.0;
    for (std::uint64_t i = 0; i < 334; ++i) {
        std::array<RegionLight, 3> lights;
        for (std::uint64_t k = 0; k < 3; ++k) {
            const Lms target = random_target(solver, 3 * i + k);
            lights[k] = region_light(solver.solve(target).linear, display, depth.bits);
            worst_codes = std::max(worst_codes, codes_off_target(lights[k], target, solver, depth.bits));
        }
        FieldPicture picture(layout, depth.bits, tone);
        picture.first = lights[0];
        picture.second = lights[1];
        picture.surround = lights[2];
        picture.fixation = lights[2];
        presenter.show(picture);
        wrong +=
            wrong_pixels(presenter.read_back(), layout, interior,
                         {Region{&lights[0], &RegionShares::first}, Region{&lights[1], &RegionShares::second},
                          Region{&lights[2], &RegionShares::surround}});
    }
    CHECK(wrong == 0);
    // Rounding to the nearest code is off by half a code at most; the rest is the model's own rounding.
    CHECK(worst_codes <= 0.5 + 1e-9);
    CHECK(worst_codes > 0.49);
    INFO(fmt::format("{} bits: {} wrong pixels, at most {:.4f} codes from the target", depth.bits, wrong,
                     worst_codes));
}

namespace {

int largest_difference(const CodeImage& image, const CodeImage& reference) {
    REQUIRE(image.codes.size() == reference.codes.size());
    int largest = 0;
    for (std::size_t i = 0; i < image.codes.size(); ++i)
        largest = std::max(largest, std::abs(int{image.codes[i]} - int{reference.codes[i]}));
    return largest;
}

std::vector<FieldGeometry> geometries() {
    std::vector<FieldGeometry> all(9, disc(4.0));
    all[1].split_angle_deg = 33.0;
    all[1].gap = Degrees::from_arcmin(7.0);
    all[1].fixation = FixationMark::cross;
    all[2].shape = FieldShape::square;
    all[2].split_angle_deg = 90.0;
    all[2].fixation = FixationMark::dot;
    all[3].shape = FieldShape::annulus;
    all[3].inner_size = Degrees::from_degrees(1.7);
    all[3].split_angle_deg = -71.3;
    all[4].size = Degrees::from_degrees(0.9);
    all[4].split_angle_deg = 45.0;
    all[5].shape = FieldShape::square;
    all[5].split_angle_deg = 12.5;
    all[5].gap = Degrees::from_arcmin(0.4);
    all[6].parts = FieldParts::quadrants;
    all[6].split_angle_deg = 45.0;
    all[6].hairline = true;
    all[7].parts = FieldParts::spot;
    all[7].size = Degrees::from_degrees(3.0);
    all[7].edge_width = Degrees::from_degrees(0.5);
    all[8].size = Degrees::from_degrees(3.0);
    all[8].edge_width = Degrees::from_degrees(0.3);
    all[8].ring_size = Degrees::from_degrees(4.0);
    all[8].hairline = true;
    return all;
}

}  // namespace

TEST_CASE("fields of every form have the reference's codes on the screen, in every pixel, edges included") {
    const Depth depth = GENERATE(Depth{24, 8}, Depth{30, 10});
    const test::VirtualScreen screen(1300, 900, depth.screen);
    screen.use();
    VideoSystem video;
    const ToneTable steep = tone_table(test::invented_display({620.0, 535.0, 455.0}, 2.35));
    const ToneTable gentle = tone_table(test::invented_display({620.0, 535.0, 455.0}, 1.8));
    const auto full = static_cast<std::uint16_t>((1 << depth.bits) - 1);
    const RegionLight black{{0.0, 0.0, 0.0}, {0, 0, 0}};
    const RegionLight white{{1.0, 1.0, 1.0}, {full, full, full}};
    const RegionLight mixed{{0.0, 1.0, 0.3}, {0, full, static_cast<std::uint16_t>(full / 2)}};
    const RegionLight mark{{0.7, 0.0, 1.0}, {static_cast<std::uint16_t>(full - 9), 0, full}};

    // A small window, and one as large as the screen with a field of 900 pixels.
    const bool is_large = GENERATE(false, true);
    PresenterOptions options = small_window();
    if (is_large) {
        options.width_px = 1300;
        options.height_px = 900;
    }
    Presenter presenter(video, options);
    presenter.keep_read_back(true);
    std::uint64_t frame = 0;
    for (const FieldGeometry& geometry : geometries()) {
        for (const bool mirrored : {false, true}) {
            if (is_large && mirrored)
                continue;
            ViewingGeometry viewing = viewing_of(presenter.info());
            viewing.mirrored = mirrored;
            viewing.distance_mm = is_large ? 3000.0 : 600.0;
            viewing.centre_x_px += mirrored ? 7.3 : 0.0;
            viewing.centre_y_px -= mirrored ? 2.0 / 3.0 : 0.0;
            const FieldLayout layout(geometry, viewing);
            FieldPicture picture(layout, depth.bits, steep);
            picture.first = black;
            picture.second = white;
            picture.tone_second = gentle;
            picture.surround = mixed;
            picture.fixation = mark;
            picture.ring = mark;
            if (geometry.ring_size > Degrees{})
                picture.ring_second = white;
            picture.dither = {static_cast<DitherKind>(frame % 3), 1, frame};
            ++frame;
            presenter.show(picture);
            CHECK(largest_difference(presenter.read_back(), draw_reference(picture)) == 0);
        }
    }
}

TEST_CASE(
    "a screen without a 10-bit frame buffer gives one of 8 bits, and full screen is the screen's size") {
    const test::VirtualScreen screen(400, 300, 24);
    screen.use();
    VideoSystem video;
    CHECK(video.screen_count() == 1);
    PresenterOptions options;
    options.wanted_bits = 10;
    Presenter presenter(video, options);
    CHECK(presenter.info().bits == 8);
    CHECK(presenter.info().width_px == 400);
    CHECK(presenter.info().height_px == 300);
    CHECK(presenter.info().video_driver == "x11");
    CHECK(!presenter.info().renderer.empty());
}

TEST_CASE("two windows live side by side and show different fields") {
    const test::VirtualScreen screen(700, 300, 30);
    screen.use();
    VideoSystem video;
    PresenterOptions options = small_window();
    options.x_px = 0;
    options.y_px = 0;
    Presenter left(video, options);
    options.x_px = 350;
    Presenter right(video, options);
    left.keep_read_back(true);
    right.keep_read_back(true);
    const ToneTable tone = tone_table(test::invented_display());
    const FieldLayout layout(disc(4.0), viewing_of(left.info()));
    const RegionLight dim{{0.01, 0.01, 0.01}, {126, 126, 126}};
    const RegionLight bright{{0.9, 0.9, 0.9}, {975, 975, 975}};
    const auto lit_by = [&](const RegionLight& light) {
        FieldPicture picture(layout, 10, tone);
        picture.first = picture.second = picture.surround = picture.fixation = light;
        return picture;
    };
    left.show(lit_by(dim));
    right.show(lit_by(bright));
    CHECK(left.read_back().at(5, 5, 0) == 126);
    CHECK(right.read_back().at(5, 5, 0) == 975);
    left.show(lit_by(bright));
    CHECK(left.read_back().at(160, 120, 1) == 975);
}

TEST_CASE("a page keeps its background's exact code and bears ink, mirrored it is flipped") {
    const test::VirtualScreen screen(400, 300, 30);
    screen.use();
    VideoSystem video;
    Presenter presenter(video, small_window());
    presenter.keep_read_back(true);
    Page page;
    page.heading = "Lights out";
    page.paragraphs = {"Look at the middle of the disc."};
    page.foot = "Press the space bar to go on";
    page.background_code = {401, 17, 1023};
    presenter.show(page);
    const CodeImage plain = presenter.read_back();
    page.mirrored = true;
    presenter.show(page);
    const CodeImage flipped = presenter.read_back();
    int with_ink = 0;
    bool is_flipped = true;
    for (int row = 0; row < kHeight; ++row) {
        for (int column = 0; column < kWidth; ++column) {
            with_ink += pixel(plain, column, row) == page.background_code ? 0 : 1;
            is_flipped = is_flipped && pixel(plain, column, row) == pixel(flipped, kWidth - 1 - column, row);
        }
    }
    CHECK(pixel(plain, 0, 0) == page.background_code);
    CHECK(with_ink > 500);
    CHECK(with_ink < kWidth * kHeight / 5);
    CHECK(is_flipped);
}

TEST_CASE("a line pattern has the share of full lines that was asked for, and a patch of exact code") {
    const Depth depth = GENERATE(Depth{24, 8}, Depth{30, 10});
    const test::VirtualScreen screen(400, 300, depth.screen);
    screen.use();
    VideoSystem video;
    Presenter presenter(video, small_window());
    presenter.keep_read_back(true);
    const auto full = static_cast<std::uint16_t>((1 << depth.bits) - 1);
    for (const auto& [lit, period] : {std::pair{1, 4}, std::pair{1, 2}, std::pair{3, 4}}) {
        for (const std::uint16_t code : {std::uint16_t{1}, std::uint16_t{137}, full}) {
            presenter.show(LinePattern{lit, period, code});
            const CodeImage& image = presenter.read_back();
            int wrong = 0;
            for (int row = 0; row < image.height; ++row) {
                for (int column = 0; column < image.width; ++column) {
                    // 320 x 240 with a square of 80 in the middle.
                    const bool patch = column >= 120 && column < 200 && row >= 80 && row < 160;
                    const int expected = patch ? code : row % period < lit ? full : 0;
                    for (int channel = 0; channel < 3; ++channel)
                        wrong += image.at(column, row, channel) != expected ? 1 : 0;
                }
            }
            CAPTURE(lit, period, code);
            CHECK(wrong == 0);
        }
    }
    CHECK_THROWS_AS(presenter.show(LinePattern{2, 2, 5}), std::logic_error);
}

TEST_CASE(
    "each frame has a stamp, by a fence where the driver counts no refreshes, and waits for its beat when "
    "asked") {
    const test::VirtualScreen screen(400, 300, 24);
    screen.use();
    VideoSystem video;
    Presenter presenter(video, small_window());
    CHECK(presenter.stamp_kind() == StampKind::fence);
    double before_swap_s = 0.0;
    presenter.before_swap([&] { before_swap_s = steady_seconds(); });
    const double shown_s = presenter.show(Page{});
    CHECK(presenter.stamp().time_s == shown_s);
    CHECK_FALSE(presenter.stamp().refresh_number);
    CHECK(shown_s >= before_swap_s);
    CHECK(shown_s <= steady_seconds());

    const double due_s = steady_seconds() + 0.1;
    presenter.keep_beat(due_s, 1.0);
    CHECK(presenter.show(Page{}) >= due_s);
    CHECK(before_swap_s >= due_s);
    const double next_s = presenter.show(Page{});  // once only
    CHECK(next_s < due_s + 1.0);
    REQUIRE(presenter.screen_modes());
    CHECK_THAT(presenter.screen_modes()->front(), Catch::Contains("400 x 300 pixels"));
    CHECK(presenter.compositing_manager() == false);
}
