#include "bench/frame_cost.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <vector>

#include "stimuli/gl/field_drawing.h"
#include "support/offscreen.h"
#include "support/random_picture.h"

namespace isoseam::test {

namespace {

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

FieldPicture picture_of(const FieldGeometry& field, int width_px, int height_px, DitherKind kind) {
    ViewingGeometry viewing;
    viewing.distance_mm = 600.0;
    viewing.pixel_pitch_mm = 0.16;
    viewing.width_px = width_px;
    viewing.height_px = height_px;
    viewing.centre_x_px = 0.5 * width_px;
    viewing.centre_y_px = 0.5 * height_px;
    const ToneTable& tone = example_tones().front();
    const RegionLight grey{{0.21, 0.2, 0.19}, {500, 490, 480}};
    const RegionLight bright{{0.6, 0.5, 0.4}, {800, 780, 700}};
    FieldPicture picture(FieldLayout(field, viewing), 10, tone);
    picture.first = picture.second = picture.fixation = grey;
    picture.surround = bright;
    picture.ring = bright;
    picture.dither.kind = kind;
    return picture;
}

// Every frame has its own dither and its own light in one half, as when an observer turns a knob.
void change(FieldPicture& picture, int frame) {
    picture.dither.frame = static_cast<std::uint64_t>(frame);
    picture.second.linear[0] = 0.2 + 0.1 * (frame % 256) / 256.0;
}

void print_one(const char* name, FieldPicture picture, int frames) {
    using Clock = std::chrono::steady_clock;
    FieldDrawing drawing;
    const auto start = Clock::now();
    drawing.draw(picture);
    glFinish();
    const std::chrono::duration<double, std::milli> first = Clock::now() - start;
    GLuint query = 0;
    glGenQueries(1, &query);
    std::vector<double> submit_us, card_us;
    for (int frame = 0; frame < frames; ++frame) {
        change(picture, frame);
        const auto begin = Clock::now();
        drawing.draw(picture);
        const std::chrono::duration<double, std::micro> took = Clock::now() - begin;
        submit_us.push_back(took.count());
        glFinish();
    }
    for (int frame = 0; frame < frames; ++frame) {
        change(picture, frame);
        glBeginQuery(GL_TIME_ELAPSED, query);
        drawing.draw(picture);
        glEndQuery(GL_TIME_ELAPSED);
        GLuint64 took_ns = 0;
        glGetQueryObjectui64v(query, GL_QUERY_RESULT, &took_ns);
        card_us.push_back(1e-3 * static_cast<double>(took_ns));
    }
    glDeleteQueries(1, &query);
    fmt::print("  {:<38} submit {:>6.1f} us, card {:>8.1f} us a frame; first frame {:.1f} ms\n", name,
               median(submit_us), median(card_us), first.count());
}

// What the card needs to write every pixel, whatever is drawn.
void print_floor(int frames) {
    const GlProgram bare("#version 330 core\nout vec4 colour;\nvoid main() { colour = vec4(0.5); }\n");
    GLuint query = 0;
    glGenQueries(1, &query);
    std::vector<double> card_us;
    for (int frame = 0; frame < frames; ++frame) {
        glBeginQuery(GL_TIME_ELAPSED, query);
        bare.use();
        bare.draw();
        glEndQuery(GL_TIME_ELAPSED);
        GLuint64 took_ns = 0;
        glGetQueryObjectui64v(query, GL_QUERY_RESULT, &took_ns);
        card_us.push_back(1e-3 * static_cast<double>(took_ns));
    }
    glDeleteQueries(1, &query);
    fmt::print("  {:<38} {:14} card {:>8.1f} us a frame\n", "a shader that writes one number", "",
               median(card_us));
}

}  // namespace

void print_frame_cost(int width_px, int height_px, int frames) {
    const OffscreenBuffer buffer(width_px, height_px, 10);
    fmt::print(
        "{} x {}, 10 bits, medians of {} frames (submit: all calls for one frame whose dither and one "
        "light are new; card: GL_TIME_ELAPSED)\n",
        width_px, height_px, frames);
    FieldGeometry plain;
    FieldGeometry rich;
    rich.size = Degrees::from_extent_mm(0.16 * 0.7 * height_px, 600.0);
    rich.ring_size = Degrees::from_extent_mm(0.16 * 0.9 * height_px, 600.0);
    rich.edge_width = Degrees::from_extent_mm(0.16 * 0.1 * height_px, 600.0);
    rich.fixation = FixationMark::cross;
    print_floor(frames);
    print_one("2 degrees, noise", picture_of(plain, width_px, height_px, DitherKind::noise), frames);
    print_one("2 degrees, ordered", picture_of(plain, width_px, height_px, DitherKind::ordered), frames);
    print_one("2 degrees, no dither", picture_of(plain, width_px, height_px, DitherKind::none), frames);
    print_one("large, soft edge and ring, noise", picture_of(rich, width_px, height_px, DitherKind::noise),
              frames);
}

}  // namespace isoseam::test
