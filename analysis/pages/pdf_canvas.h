#pragma once
// The canvas holds the pages of a PDF while they are written: a place that moves down the page, text set by
// Pango, tags, and the outline. Lengths are in points (1/72 inch) from the upper left corner of the page.

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
    // If this is 0, the text takes the width that it needs.
    double width_pt = 0.0;
    bool flush_right = false;
    // How many bytes at the beginning are bold, in a text that is not bold.
    std::size_t bold_bytes = 0;
};

inline constexpr double kPageWidthPt = 210.0 * 72.0 / 25.4;  // A4, ISO 216
inline constexpr double kPageHeightPt = 297.0 * 72.0 / 25.4;
inline constexpr double kMarginPt = 20.0 * 72.0 / 25.4;
inline constexpr double kTextWidthPt = kPageWidthPt - 2.0 * kMarginPt;
inline constexpr double kTextBottomPt = kPageHeightPt - kMarginPt;
inline constexpr double kTextHeightPt = kTextBottomPt - kMarginPt;

// A tag is an element of the document's structure (PDF 1.7, ISO 32000-1, 14.8.4) for as long as it lives. No
// tag may stay open over the end of a page.
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
    // Begins a new page, unless this page has so much room left or is empty.
    void need(double height_pt);

    TextBlock text(const std::string& words, const TextLook& look) const;
    // Gives a caption of a table or a figure, with its number in bold.
    TextBlock caption(const std::string& words) const;
    static double height_pt(const TextBlock& block);
    static double width_pt(const TextBlock& block);
    // Gives the height from the top of line `first` to the top of line `last`, or to the end if there is no
    // such line.
    static double lines_height_pt(const TextBlock& block, int first, int last);
    // Gives the number of bytes of the text on the lines that fit into this height.
    static std::size_t bytes_within(const TextBlock& block, double height_pt);
    // Shows the text with its upper left corner at (x, y). The canvas's place does not move.
    void show(const TextBlock& block, double x_pt, double y_pt) const;
    // Shows the lines from `first` up to, but without, `last`. The top of the first one is at y.
    void show_lines(const TextBlock& block, int first, int last, double x_pt, double y_pt) const;
    void line(double from_x_pt, double to_x_pt, double y_pt, double width_pt) const;
    void box(double x_pt, double y_pt, double width_pt, double height_pt) const;

    // Adds a line to the outline that leads to this page. Gives the number of the line, by which further
    // lines can be placed below it (0 is the outline's root).
    int add_outline(int below, const std::string& words) const;

    // Gives the document's bytes. Nothing can be drawn afterwards.
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
