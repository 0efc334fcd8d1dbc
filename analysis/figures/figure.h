#pragma once
// A figure is a drawing as plain data: panels in rows, series in panels, and words at places. Code that
// describes a figure need not know the program that draws it (gnuplot.h).
//
// Text is UTF-8 and is drawn as it stands: no letter has a special meaning. Control characters become blanks,
// and bytes that are not UTF-8 become U+FFFD. No colour is used: things that must be distinguished differ in
// dashes, markers, fillings or labels.

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

// X and y have the same length. x is finite. A y that is NaN makes a gap in the line, and so does a y that is
// not positive on a logarithmic axis.
struct Series {
    enum class Kind {
        line,        // joined by straight lines
        points,      // markers only
        impulses,    // a line from 0 up to each point, with the marker on top
        bars,        // boxes from 0, bar_width wide in units of x
        error_bars,  // a marker, and a line from low to high
    };
    Kind kind = Kind::line;
    // The name stands in the panel's key. People who hear an SVG instead of seeing it hear this name.
    std::string name = {};
    // This text is written beside a line where it is clear of the other lines, preferably at the peak. It
    // needs axes whose `from` and `to` are set.
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

inline void add_point(Series& series, double x, double y) {
    series.x.push_back(x);
    series.y.push_back(y);
}

// A label is a word at a place. Its coordinates are those of the left and the lower axis, and it is moved by
// (dx_mm, dy_mm).
struct Label {
    enum class Anchor { left, centre, right };
    std::string text = {};
    double x = 0.0;
    double y = 0.0;
    double dx_mm = 0.0;
    double dy_mm = 0.0;
    Anchor anchor = Anchor::centre;
    // If this is true, the label is turned by 90 degrees and reads from below upwards.
    bool upwards = false;
    Ink ink = Ink::black;
    double size_pt = 10.0;
};

struct Tick {
    double at = 0.0;
    std::string text = {};
};

struct Axis {
    std::string label = {};
    // `from` is below `to`. If one is not given, the data set it.
    std::optional<double> from = {};
    std::optional<double> to = {};
    bool logarithmic = false;
    // This draws a thin grey line at 0. It applies to the left axis only.
    bool zero_line = false;
    // If this is empty, ticks are chosen.
    std::vector<Tick> ticks = {};
    // If this is 0, the step is chosen.
    double tick_step = 0.0;
    // This is false if a panel below shows the same axis.
    bool has_tick_texts = true;
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
    // A blank panel takes up its room and shows nothing, as at the end of a row that is not full. The first
    // panel is never blank.
    bool blank = false;
};

struct Row {
    double height_share = 1.0;  // of the figure
    std::vector<Panel> panels = {};
};

// This is a line of the legend under the figure's title. It says what a stroke or a filling means in all
// panels.
struct LegendEntry {
    std::string text = {};
    std::optional<Stroke> stroke = {};
    std::optional<Fill> fill = {};
};

// Title and legend are wrapped to the width. Their height is added to height_mm.
struct Figure {
    std::string title = {};
    // The description is for people who cannot see the figure. It stands in SVG files.
    std::string description = {};
    std::vector<LegendEntry> legend = {};
    std::vector<Row> rows = {};
    double width_mm = 170.0;
    double height_mm = 100.0;  // of all rows
};

}  // namespace isoseam
