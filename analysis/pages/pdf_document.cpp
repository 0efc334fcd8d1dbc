#include "analysis/pages/pdf_document.h"

#include <fmt/format.h>
#include <librsvg/rsvg.h>

#include <algorithm>

#include "analysis/figures/figure_text.h"
#include "analysis/pages/pdf_canvas.h"
#include "analysis/pages/pdf_structure.h"
#include "analysis/pages/pdf_table.h"
#include "base/errors.h"

namespace isoseam {
namespace {

constexpr double kBodyPt = 9.5;
constexpr double kTitlePt = 18.0;
constexpr double kBelowBlockPt = 6.0;
constexpr double kIndentPt = 14.0;
constexpr double kPointsPerPixel = 72.0 / 96.0;  // of SVG (W3C CSS: 96 pixels an inch)

double heading_size_pt(int level) {
    return level == 2 ? 13.5 : 10.5;
}

double above_heading_pt(int level) {
    return level == 2 ? 14.0 : 8.0;
}

struct Drawing {
    RsvgHandle* handle = nullptr;
    double width_pt = 0.0;
    double height_pt = 0.0;

    explicit Drawing(const std::string& svg) {
        GError* error = nullptr;
        handle = rsvg_handle_new_from_data(reinterpret_cast<const guint8*>(svg.data()), svg.size(), &error);
        if (handle == nullptr)
            fail(error);
        double width_px = 0.0;
        double height_px = 0.0;
        rsvg_handle_set_dpi(handle, 96.0);
        ISOSEAM_CHECK(rsvg_handle_get_intrinsic_size_in_pixels(handle, &width_px, &height_px));
        width_pt = width_px * kPointsPerPixel;
        height_pt = height_px * kPointsPerPixel;
    }
    ~Drawing() { g_object_unref(handle); }
    Drawing(const Drawing&) = delete;
    Drawing& operator=(const Drawing&) = delete;

    void show(cairo_t* cairo, double x_pt, double y_pt, double scale) const {
        const RsvgRectangle place{x_pt, y_pt, width_pt * scale, height_pt * scale};
        GError* error = nullptr;
        if (!rsvg_handle_render_document(handle, cairo, &place, &error))
            fail(error);
    }

    [[noreturn]] static void fail(GError* error) {
        const std::string reason = error == nullptr ? "no reason told" : error->message;
        g_clear_error(&error);
        throw MachineError(fmt::format("cannot draw a figure into the PDF: {}", reason),
                           "write HTML alone, or install librsvg of Debian 12 or newer");
    }
};

// How much must stand together at the beginning of a block: with it the heading above stays.
class Writer {
  public:
    Writer(const PageDocument& document, const DrawSvg& draw)
        : document_(document), draw_(draw), canvas_(document) {}

    std::string bytes() {
        show_heading(heading(document_.title, kTitlePt), 1);
        for (const std::string& paragraph : document_.lead)
            show(PageParagraph{paragraph});
        for (const PageSection& section : document_.sections)
            show_section(section, 2, 0);
        canvas_.move_down(kBelowBlockPt);
        if (!document_.closing.empty())
            show(PageParagraph{document_.closing});
        return canvas_.finish();
    }

  private:
    TextBlock heading(const std::string& words, double size_pt) const {
        return canvas_.text(words, {size_pt, true, kTextWidthPt, false});
    }

    void show_heading(const TextBlock& words, int level) {
        {
            const std::string name = fmt::format("H{}", std::min(level, 6));
            const PdfTag tag(canvas_.cairo(), name.c_str());
            canvas_.show(words, kMarginPt, canvas_.y_pt());
        }
        canvas_.move_down(PdfCanvas::height_pt(words) + kBelowBlockPt);
    }

    TextBlock body(const std::string& words, double indent_pt = 0.0) const {
        return canvas_.text(words, {kBodyPt, false, kTextWidthPt - indent_pt, false});
    }

    double first_height_pt(const PageSection& section, int level) {
        const TextBlock title = heading(section.title, heading_size_pt(level));
        const double heading_pt = above_heading_pt(level) + PdfCanvas::height_pt(title) + kBelowBlockPt;
        if (!section.blocks.empty())
            return heading_pt +
                   std::visit([&](const auto& one) { return first_height_pt(one); }, section.blocks.front());
        if (!section.sections.empty())
            return heading_pt + first_height_pt(section.sections.front(), level + 1);
        return heading_pt;
    }

    void show_section(const PageSection& section, int level, int outline) {
        canvas_.need(std::min(first_height_pt(section, level), kTextHeightPt));
        if (!canvas_.at_top())
            canvas_.move_down(above_heading_pt(level));
        const int entry = canvas_.add_outline(outline, section.title);
        show_heading(heading(section.title, heading_size_pt(level)), level);
        if (section.warns)
            canvas_.line(kMarginPt, kMarginPt + kTextWidthPt, canvas_.y_pt() - kBelowBlockPt / 2.0, 2.0);
        for (const PageBlock& block : section.blocks)
            std::visit([&](const auto& one) { show(one); }, block);
        if (section.warns)
            canvas_.line(kMarginPt, kMarginPt + kTextWidthPt, canvas_.y_pt(), 2.0);
        for (const PageSection& inner : section.sections)
            show_section(inner, level + 1, entry);
    }

    // Lines that may not be parted from the beginning or the end of a paragraph.
    static constexpr int kTogether = 2;

    static double first_height_pt(const TextBlock& block) {
        const int count = pango_layout_get_line_count(block.get());
        return PdfCanvas::lines_height_pt(block, 0, count < 2 * kTogether ? count : kTogether);
    }

    // Takes as many lines as there is room for, from line `first` on, but never one line alone.
    int last_line(const TextBlock& block, int first) const {
        const int count = pango_layout_get_line_count(block.get());
        if (PdfCanvas::lines_height_pt(block, first, count) <= canvas_.room_pt())
            return count;
        int last = first;
        while (last < count && PdfCanvas::lines_height_pt(block, first, last + 1) <= canvas_.room_pt())
            ++last;
        return std::max(first + 1, std::min(last, count - kTogether));
    }

    // Shows the text over as many pages as it needs, each part tagged with `name`.
    void show_text(const TextBlock& block, double indent_pt, const char* name, double below_pt) {
        canvas_.need(first_height_pt(block));
        const int count = pango_layout_get_line_count(block.get());
        for (int first = 0; first < count;) {
            if (first > 0)
                canvas_.new_page();
            const int last = last_line(block, first);
            {
                const PdfTag tag(canvas_.cairo(), name);
                canvas_.show_lines(block, first, last, kMarginPt + indent_pt, canvas_.y_pt());
            }
            canvas_.move_down(PdfCanvas::lines_height_pt(block, first, last));
            first = last;
        }
        canvas_.move_down(below_pt);
    }

    double first_height_pt(const PageParagraph& paragraph) { return first_height_pt(body(paragraph.text)); }
    void show(const PageParagraph& paragraph) { show_text(body(paragraph.text), 0.0, "P", kBelowBlockPt); }

    double first_height_pt(const PageList& list) {
        return list.items.empty() ? 0.0 : first_height_pt(body(list.items.front(), kIndentPt));
    }
    void show(const PageList& list) {
        for (const std::string& item : list.items) {
            const TextBlock words = body(item, kIndentPt);
            canvas_.need(first_height_pt(words));
            const double dot_pt = 2.2;
            canvas_.box(kMarginPt + 4.0, canvas_.y_pt() + 0.62 * kBodyPt, dot_pt, dot_pt);
            show_text(words, kIndentPt, "LI", 2.5);
        }
        canvas_.move_down(kBelowBlockPt - 2.5);
    }

    double first_height_pt(const PageNote& note) {
        return PdfCanvas::height_pt(body(note.lead + " " + note.text, kIndentPt));
    }
    void show(const PageNote& note) {
        const TextBlock words =
            canvas_.text(note.lead + " " + note.text,
                         {kBodyPt, false, kTextWidthPt - kIndentPt, false, clean_text(note.lead).size()});
        const double height_pt = PdfCanvas::height_pt(words);
        canvas_.need(height_pt);
        if (height_pt <= canvas_.room_pt())
            canvas_.box(kMarginPt, canvas_.y_pt(), 3.0, height_pt);
        show_text(words, kIndentPt, "P", kBelowBlockPt);
    }

    double first_height_pt(const PageTable& table) { return PdfTable(canvas_, table).first_height_pt(); }
    void show(const PageTable& table) { PdfTable(canvas_, table).show(); }

    struct FigurePlace {
        double scale = 1.0;
        double height_pt = 0.0;  // with the caption
    };
    FigurePlace place_of(const Drawing& drawing, const TextBlock& caption) const {
        const double caption_pt = PdfCanvas::height_pt(caption) + kBelowBlockPt;
        const double scale = std::min(
            {1.0, kTextWidthPt / drawing.width_pt, (kTextHeightPt - caption_pt) / drawing.height_pt});
        return {scale, drawing.height_pt * scale + caption_pt};
    }
    double first_height_pt(const PageFigure& figure) {
        return place_of(Drawing(draw_(figure.figure)), canvas_.caption(figure.caption)).height_pt;
    }
    void show(const PageFigure& figure) {
        const Drawing drawing(draw_(figure.figure));
        const TextBlock caption = canvas_.caption(figure.caption);
        const FigurePlace place = place_of(drawing, caption);
        canvas_.need(place.height_pt);
        {
            const PdfTag tag(canvas_.cairo(), "Figure");
            cairo_save(canvas_.cairo());
            drawing.show(canvas_.cairo(), kMarginPt, canvas_.y_pt(), place.scale);
            cairo_restore(canvas_.cairo());
        }
        canvas_.move_down(drawing.height_pt * place.scale);
        show_text(caption, 0.0, "Caption", kBelowBlockPt);
    }

    const PageDocument& document_;
    const DrawSvg& draw_;
    PdfCanvas canvas_;
};

}  // namespace

std::string pdf_document(const PageDocument& document, const DrawSvg& draw) {
    return completed(Writer(document, draw).bytes(), document);
}

}  // namespace isoseam
