#include "analysis/pages/pdf_canvas.h"

#include <cairo-pdf.h>
#include <fmt/format.h>
#include <pango/pangocairo.h>

#include "analysis/figures/figure_text.h"
#include "base/errors.h"

namespace isoseam {
namespace {

constexpr const char* kFace = "DejaVu Sans";
constexpr double kFootPt = 7.5;
constexpr double kFootBelowTextPt = 16.0;
constexpr double kLineSpacing = 1.25;  // of Pango's own

cairo_status_t keep(void* closure, const unsigned char* data, unsigned length) {
    static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
    return CAIRO_STATUS_SUCCESS;
}

void require(cairo_status_t status) {
    if (status != CAIRO_STATUS_SUCCESS)
        throw MachineError(fmt::format("cannot write the PDF: {}", cairo_status_to_string(status)),
                           "free some memory, or write HTML alone");
}

double points_of(int pango_units) {
    return static_cast<double>(pango_units) / PANGO_SCALE;
}

// Visits the lines of a text in their order, until `visit` returns false. `visit` is given the number of the
// line, its extents, and Pango's place.
template <class Visit>
void for_each_line(const TextBlock& block, const Visit& visit) {
    PangoLayoutIter* at = pango_layout_get_iter(block.get());
    int line = 0;
    PangoRectangle extents;
    do
        pango_layout_iter_get_line_extents(at, nullptr, &extents);
    while (visit(line++, extents, at) && pango_layout_iter_next_line(at));
    pango_layout_iter_free(at);
}

}  // namespace

void PangoDeleter::operator()(PangoLayout* layout) const {
    g_object_unref(layout);
}

PdfTag::PdfTag(cairo_t* cairo, const char* name) : cairo_(cairo), name_(name) {
    cairo_tag_begin(cairo_, name_, nullptr);
}

PdfTag::~PdfTag() {
    cairo_tag_end(cairo_, name_);
}

PdfCanvas::PdfCanvas(const PageDocument& document)
    : title_(clean_text(document.title)), page_word_(document.words.page) {
    surface_ = cairo_pdf_surface_create_for_stream(keep, &bytes_, kPageWidthPt, kPageHeightPt);
    cairo_ = cairo_create(surface_);
    context_ = pango_cairo_create_context(cairo_);
    pango_context_set_round_glyph_positions(context_, FALSE);
    pango_context_set_language(context_, pango_language_from_string(document.language.c_str()));
    cairo_pdf_surface_set_metadata(surface_, CAIRO_PDF_METADATA_TITLE, title_.c_str());
    cairo_pdf_surface_set_metadata(surface_, CAIRO_PDF_METADATA_CREATOR,
                                   clean_text(document.program).c_str());
}

PdfCanvas::~PdfCanvas() {
    g_object_unref(context_);
    cairo_destroy(cairo_);
    cairo_surface_destroy(surface_);
}

void PdfCanvas::show_foot() const {
    constexpr double kNumberWidthPt = 60.0;
    const double y = kTextBottomPt + kFootBelowTextPt;
    const TextBlock title = text(title_, {kFootPt, false, kTextWidthPt - kNumberWidthPt, false});
    pango_layout_set_height(title.get(), -1);  // one line
    pango_layout_set_ellipsize(title.get(), PANGO_ELLIPSIZE_END);
    show(title, kMarginPt, y);
    show(text(fmt::format("{} {}", page_word_, page_), {kFootPt, false, kNumberWidthPt, true}),
         kMarginPt + kTextWidthPt - kNumberWidthPt, y);
}

void PdfCanvas::new_page() {
    show_foot();
    cairo_show_page(cairo_);
    ++page_;
    y_pt_ = kMarginPt;
}

void PdfCanvas::need(double height_pt) {
    if (height_pt > room_pt() && !at_top())
        new_page();
}

TextBlock PdfCanvas::text(const std::string& words, const TextLook& look) const {
    TextBlock block(pango_layout_new(context_));
    PangoFontDescription* font = pango_font_description_new();
    pango_font_description_set_family(font, kFace);
    pango_font_description_set_absolute_size(font, look.size_pt * PANGO_SCALE);
    pango_font_description_set_weight(font, look.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(block.get(), font);
    pango_font_description_free(font);
    // Letters that are joined into one shape are not found by every reader's search.
    PangoAttrList* attributes = pango_attr_list_new();
    pango_attr_list_insert(attributes, pango_attr_font_features_new("liga=0, clig=0"));
    if (look.bold_bytes > 0) {
        PangoAttribute* bold = pango_attr_weight_new(PANGO_WEIGHT_BOLD);
        bold->end_index = static_cast<guint>(look.bold_bytes);
        pango_attr_list_insert(attributes, bold);
    }
    pango_layout_set_attributes(block.get(), attributes);
    pango_attr_list_unref(attributes);
    pango_layout_set_line_spacing(block.get(), static_cast<float>(kLineSpacing));
    pango_layout_set_wrap(block.get(), PANGO_WRAP_WORD_CHAR);
    pango_layout_set_alignment(block.get(), look.flush_right ? PANGO_ALIGN_RIGHT : PANGO_ALIGN_LEFT);
    if (look.width_pt > 0.0)
        pango_layout_set_width(block.get(), static_cast<int>(look.width_pt * PANGO_SCALE));
    const std::string clean = clean_text(words);
    pango_layout_set_text(block.get(), clean.data(), static_cast<int>(clean.size()));
    return block;
}

TextBlock PdfCanvas::caption(const std::string& words) const {
    constexpr double kCaptionPt = 8.5;
    return text(words, {kCaptionPt, false, kTextWidthPt, false, caption_number_bytes(words)});
}

double PdfCanvas::height_pt(const TextBlock& block) {
    int height = 0;
    pango_layout_get_size(block.get(), nullptr, &height);
    return points_of(height);
}

double PdfCanvas::width_pt(const TextBlock& block) {
    int width = 0;
    pango_layout_get_size(block.get(), &width, nullptr);
    return points_of(width);
}

double PdfCanvas::lines_height_pt(const TextBlock& block, int first, int last) {
    double from = height_pt(block);
    double to = from;
    for_each_line(block, [&](int line, const PangoRectangle& extents, PangoLayoutIter*) {
        if (line == first)
            from = points_of(extents.y);
        if (line == last)
            to = points_of(extents.y);
        return true;
    });
    return to - from;
}

std::size_t PdfCanvas::bytes_within(const TextBlock& block, double height_pt) {
    std::size_t bytes = 0;
    for_each_line(block, [&](int, const PangoRectangle& extents, PangoLayoutIter* at) {
        const bool fits = points_of(extents.y + extents.height) <= height_pt;
        const PangoLayoutLine* line = pango_layout_iter_get_line_readonly(at);
        if (fits)
            bytes = static_cast<std::size_t>(line->start_index) + static_cast<std::size_t>(line->length);
        return fits;
    });
    return bytes;
}

void PdfCanvas::show(const TextBlock& block, double x_pt, double y_pt) const {
    cairo_move_to(cairo_, x_pt, y_pt);
    pango_cairo_show_layout(cairo_, block.get());
}

void PdfCanvas::show_lines(const TextBlock& block, int first, int last, double x_pt, double y_pt) const {
    double top = 0.0;
    for_each_line(block, [&](int line, const PangoRectangle& extents, PangoLayoutIter* at) {
        if (line == first)
            top = points_of(extents.y);
        if (line >= first && line < last) {
            cairo_move_to(cairo_, x_pt + points_of(extents.x),
                          y_pt - top + points_of(pango_layout_iter_get_baseline(at)));
            pango_cairo_show_layout_line(cairo_, pango_layout_iter_get_line_readonly(at));
        }
        return line + 1 < last;
    });
}

void PdfCanvas::line(double from_x_pt, double to_x_pt, double y_pt, double width_pt) const {
    cairo_set_line_width(cairo_, width_pt);
    cairo_move_to(cairo_, from_x_pt, y_pt);
    cairo_line_to(cairo_, to_x_pt, y_pt);
    cairo_stroke(cairo_);
}

void PdfCanvas::box(double x_pt, double y_pt, double width_pt, double height_pt) const {
    cairo_rectangle(cairo_, x_pt, y_pt, width_pt, height_pt);
    cairo_fill(cairo_);
}

int PdfCanvas::add_outline(int below, const std::string& words) const {
    const std::string place = fmt::format("page={} pos=[{:.1f} {:.1f}]", page_, kMarginPt, y_pt_);
    return cairo_pdf_surface_add_outline(
        surface_, below, clean_text(words).c_str(), place.c_str(),
        below == 0 ? CAIRO_PDF_OUTLINE_FLAG_OPEN : static_cast<cairo_pdf_outline_flags_t>(0));
}

std::string PdfCanvas::finish() {
    show_foot();
    require(cairo_status(cairo_));
    cairo_surface_finish(surface_);
    require(cairo_surface_status(surface_));
    return std::move(bytes_);
}

}  // namespace isoseam
