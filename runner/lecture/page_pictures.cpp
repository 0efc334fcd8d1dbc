#include "runner/lecture/page_pictures.h"

#include <fmt/format.h>
#include <librsvg/rsvg.h>
#include <qrencode.h>

#include <algorithm>
#include <cmath>
#include <memory>

#include "analysis/figures/gnuplot.h"
#include "base/errors.h"

namespace isoseam {
namespace {

constexpr int kQuietModules = 4;

template <auto Free>
struct FreedBy {
    template <class T>
    void operator()(T* thing) const {
        Free(thing);
    }
};
using Svg = std::unique_ptr<RsvgHandle, FreedBy<g_object_unref>>;
using Surface = std::unique_ptr<cairo_surface_t, FreedBy<cairo_surface_destroy>>;
using Painter = std::unique_ptr<cairo_t, FreedBy<cairo_destroy>>;
using QrCode = std::unique_ptr<QRcode, FreedBy<QRcode_free>>;

[[noreturn]] void refuse_drawing(const std::string& why) {
    throw MachineError(fmt::format("a figure cannot be put on the screen: {}", why),
                       "reinstall the packages gnuplot-nox and librsvg2-2");
}

// The paper is white and the ink is black.
InkPicture ink_of(cairo_surface_t* surface) {
    InkPicture picture;
    picture.width_px = cairo_image_surface_get_width(surface);
    picture.height_px = cairo_image_surface_get_height(surface);
    cairo_surface_flush(surface);
    const unsigned char* bytes = cairo_image_surface_get_data(surface);
    const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(surface));
    for (int y = 0; y < picture.height_px; ++y) {
        const unsigned char* row = bytes + static_cast<std::size_t>(y) * stride;
        for (int x = 0; x < picture.width_px; ++x) {
            // A pixel has four bytes. Figures are grey, so that each of the three colours has the same value.
            const unsigned char light = row[static_cast<std::size_t>(x) * 4 + 1];
            picture.ink.push_back(static_cast<std::uint8_t>(255 - light));
        }
    }
    return picture;
}

}  // namespace

InkPicture figure_picture(const Figure& figure, int at_most_width_px, int at_most_height_px) {
    ISOSEAM_CHECK_GT(at_most_width_px, 0);
    ISOSEAM_CHECK_GT(at_most_height_px, 0);
    const std::string svg = drawn(figure, PictureFormat::svg);
    GError* error = nullptr;
    const Svg handle(
        rsvg_handle_new_from_data(reinterpret_cast<const guint8*>(svg.data()), svg.size(), &error));
    if (handle == nullptr) {
        const std::string why = error == nullptr ? "it is no SVG" : error->message;
        g_clear_error(&error);
        refuse_drawing(why);
    }
    double natural_width_px = 0.0;
    double natural_height_px = 0.0;
    if (rsvg_handle_get_intrinsic_size_in_pixels(handle.get(), &natural_width_px, &natural_height_px) == 0 ||
        !(natural_width_px > 0.0))
        refuse_drawing("its size is not known");
    const double scale = std::min(at_most_width_px / natural_width_px, at_most_height_px / natural_height_px);
    const int width_px = std::max(1, static_cast<int>(scale * natural_width_px));
    const int height_px = std::max(1, static_cast<int>(scale * natural_height_px));
    const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width_px, height_px));
    const Painter painter(cairo_create(surface.get()));
    cairo_set_source_rgb(painter.get(), 1.0, 1.0, 1.0);
    cairo_paint(painter.get());
    const RsvgRectangle whole{0.0, 0.0, static_cast<double>(width_px), static_cast<double>(height_px)};
    if (rsvg_handle_render_document(handle.get(), painter.get(), &whole, &error) == 0) {
        const std::string why = error == nullptr ? "it cannot be drawn" : error->message;
        g_clear_error(&error);
        refuse_drawing(why);
    }
    return ink_of(surface.get());
}

InkPicture address_picture(const std::string& address, int at_most_px) {
    const QrCode code(QRcode_encodeString(address.c_str(), 0, QR_ECLEVEL_M, QR_MODE_8, 1));
    const int modules = code == nullptr ? 0 : code->width + 2 * kQuietModules;
    if (code == nullptr || at_most_px < modules) {
        throw InputError(Fault{"", 0, 0, "address",
                               fmt::format("'{}' is too long for a QR code on this screen", address),
                               "give a shorter one with --join-address"});
    }
    const int module_px = at_most_px / modules;
    InkPicture picture{modules * module_px, modules * module_px, {}};
    picture.ink.resize(static_cast<std::size_t>(picture.width_px) *
                       static_cast<std::size_t>(picture.height_px));
    const auto is_dark = [&](int column, int row) {
        column -= kQuietModules;
        row -= kQuietModules;
        if (column < 0 || row < 0 || column >= code->width || row >= code->width)
            return false;
        // Qrencode.h says that the lowest bit is the colour.
        return (code->data[row * code->width + column] & 1U) != 0U;
    };
    for (int y = 0; y < picture.height_px; ++y) {
        for (int x = 0; x < picture.width_px; ++x) {
            if (is_dark(x / module_px, y / module_px))
                picture.ink[static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width_px) +
                            static_cast<std::size_t>(x)] = 255;
        }
    }
    return picture;
}

}  // namespace isoseam
