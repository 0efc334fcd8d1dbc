#pragma once
// A drawing as plain data: panels in rows, series in panels, words at places. Who describes a figure needs no
// word of the program that draws it (gnuplot.h).
//
// Text is UTF-8 and is drawn letter by letter: no letter has a special meaning. Control characters become
// blanks, bytes that are not UTF-8 become U+FFFD. There is no colour: what must be told apart differs in
// dashes, markers, fillings or in a label.

#include <optional>
#include <string>
#include <vector>

namespace isoseam {

enum class Ink { black, grey };
enum class Dash { solid, dashed, dotted, dash_dotted };
enum class Fill { empty, solid, hatched };
enum class Marker { none, dot, filled_circle, open_circle, filled_square, open_square, open_triangle, cross };

struct Stroke {
    Ink ink = Ink::black;
    Dash dash = Dash::solid;
    double width_mm = 0.45;
};

// x and y have the same length. x is finite. A y that is NaN is a gap; so is a y that is not positive on a
// logarithmic axis.
struct Series {
    enum class Kind {
        line,        // joined by straight lines
        points,      // markers only
        impulses,    // a line from 0 up to each point, with the marker on top
        bars,        // boxes from 0, bar_width wide in units of x
        error_bars,  // a marker, and a line from low to high
    };
    Kind kind = Kind::line;
    std::string name = {};  // in the panel's key, and for those who hear an SVG instead of seeing it
    // Written beside a line, where it is clear of the other lines, best at the peak. Wants axes with from and
    // to.
    std::string curve_label = {};
    std::vector<double> x = {};
    std::vector<double> y = {};
    std::vector<double> low = {};
    std::vector<double> high = {};  // error_bars only
    Stroke stroke = {};
    Marker marker = Marker::none;
    Fill fill = Fill::empty;  // bars only
    double bar_width = 1.0;   // bars only
    bool on_right_axis = false;
};

// A word at a place in the coordinates of the left and the lower axis, moved by (dx_mm, dy_mm).
struct Label {
    enum class Anchor { left, centre, right };
    std::string text = {};
    double x = 0.0;
    double y = 0.0;
    double dx_mm = 0.0;
    double dy_mm = 0.0;
    Anchor anchor = Anchor::centre;
    bool upwards = false;  // turned to read from below
    Ink ink = Ink::black;
    double size_pt = 10.0;
};

struct Tick {
    double at = 0.0;
    std::string text = {};
};

struct Axis {
    std::string label = {};
    std::optional<double> from = {};  // from < to; what is left out is set by the data
    std::optional<double> to = {};
    bool logarithmic = false;
    bool zero_line = false;        // left axis only: a thin grey line at 0
    std::vector<Tick> ticks = {};  // empty: chosen
    double tick_step = 0.0;        // 0: chosen
    bool has_tick_texts = true;    // false where a panel below shows the same axis
};

enum class Key { none, top_left, top_right, bottom_left, bottom_right };

struct Panel {
    double width_share = 1.0;  // of its row
    std::string title = {};
    Axis x = {};
    Axis y = {};
    std::optional<Axis> right = {};  // second vertical axis
    std::vector<Series> series = {};
    std::vector<Label> labels = {};
    Key key = Key::none;
    bool blank = false;  // only its room, as at the end of a row that is not full; never the first panel
};

struct Row {
    double height_share = 1.0;  // of the figure
    std::vector<Panel> panels = {};
};

// A line of the legend under the figure's title: what a stroke or a filling stands for in all panels.
struct LegendEntry {
    std::string text = {};
    std::optional<Stroke> stroke = {};
    std::optional<Fill> fill = {};
};

// Title and legend are wrapped to the width and come on top of height_mm.
struct Figure {
    std::string title = {};
    std::string description = {};  // for those who cannot see it (SVG)
    std::vector<LegendEntry> legend = {};
    std::vector<Row> rows = {};
    double width_mm = 170.0;
    double height_mm = 100.0;  // of all rows
};

}  // namespace isoseam
