#pragma once
// Pages of a PDF while they are written: a place that moves down the page, text set by Pango, tags, outline.
// Lengths in points (1/72 inch), from the upper left corner of the page.

#include <cairo.h>
#include <pango/pango.h>

#include <memory>
#include <string>
#include <vector>

#include "analysis/pages/document.h"

namespace isoseam {

struct PangoDeleter {
    void operator()(PangoLayout* layout) const;
};
using TextBlock = std::unique_ptr<PangoLayout, PangoDeleter>;

struct TextLook {
    double size_pt = 9.5;
    bool bold = false;
    double width_pt = 0.0;  // 0: as wide as it is
    bool flush_right = false;
    std::size_t bold_bytes = 0;  // at the beginning of a text that is not bold
};

inline constexpr double kPageWidthPt = 210.0 * 72.0 / 25.4;  // A4, ISO 216
inline constexpr double kPageHeightPt = 297.0 * 72.0 / 25.4;
inline constexpr double kMarginPt = 20.0 * 72.0 / 25.4;
inline constexpr double kTextWidthPt = kPageWidthPt - 2.0 * kMarginPt;
inline constexpr double kTextBottomPt = kPageHeightPt - kMarginPt;
inline constexpr double kTextHeightPt = kTextBottomPt - kMarginPt;

// An element of the document's structure (PDF 1.7, ISO 32000-1, 14.8.4) while it lives. None may be left open
// over a page.
class PdfTag {
  public:
    PdfTag(cairo_t* cairo, const char* name);
    ~PdfTag();
    PdfTag(const PdfTag&) = delete;
    PdfTag& operator=(const PdfTag&) = delete;

  private:
    cairo_t* cairo_;
    const char* name_;
};

class PdfCanvas {
  public:
    explicit PdfCanvas(const PageDocument& document);
    ~PdfCanvas();
    PdfCanvas(const PdfCanvas&) = delete;
    PdfCanvas& operator=(const PdfCanvas&) = delete;

    cairo_t* cairo() const { return cairo_; }
    double y_pt() const { return y_pt_; }
    double room_pt() const { return kTextBottomPt - y_pt_; }
    bool at_top() const { return y_pt_ <= kMarginPt; }
    void move_down(double by_pt) { y_pt_ += by_pt; }
    void new_page();
    // A new page unless there is so much room on this one, or it is empty.
    void need(double height_pt);

    TextBlock text(const std::string& words, const TextLook& look) const;
    static double height_pt(const TextBlock& block);
    static double width_pt(const TextBlock& block);
    // From the top of line `first` to the top of line `last`, or to the end where there is no such line.
    static double lines_height_pt(const TextBlock& block, int first, int last);
    // Bytes of the text on the lines that such a height holds.
    static std::size_t bytes_within(const TextBlock& block, double height_pt);
    // Upper left corner at (x, y); the place does not move.
    void show(const TextBlock& block, double x_pt, double y_pt) const;
    // Lines `first` to before `last`, the first one's top at y.
    void show_lines(const TextBlock& block, int first, int last, double x_pt, double y_pt) const;
    void line(double from_x_pt, double to_x_pt, double y_pt, double width_pt) const;
    void box(double x_pt, double y_pt, double width_pt, double height_pt) const;

    // A line of the outline that leads to this page; gives its number, for lines below it (0: the outline's
    // root).
    int add_outline(int below, const std::string& words) const;

    // The document's bytes; nothing can be drawn afterwards.
    std::string finish();

  private:
    void show_foot() const;

    std::string title_;
    std::string page_word_;
    std::string bytes_;
    cairo_surface_t* surface_ = nullptr;
    cairo_t* cairo_ = nullptr;
    PangoContext* context_ = nullptr;
    double y_pt_ = kMarginPt;
    int page_ = 1;
};

}  // namespace isoseam
