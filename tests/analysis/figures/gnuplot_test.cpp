#include "analysis/figures/gnuplot.h"

#include <sys/stat.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <limits>
#include <random>

#include "analysis/figures/figure_text.h"
#include "base/errors.h"
#include "support/error_text.h"
#include "support/file_bytes.h"
#include "support/svg_picture.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

constexpr double kGap = std::numeric_limits<double>::quiet_NaN();

Figure small_figure() {
    Figure figure;
    figure.title = "a title";
    figure.description = "a < b & c";
    figure.legend = {{.text = "first", .stroke = Stroke{}},
                     {.text = "second", .stroke = Stroke{.dash = Dash::dashed}}};
    Panel panel;
    panel.series = {{.name = "rising", .x = {1, 2, 3}, .y = {1, 2, 4}}};
    figure.rows = {{1.0, {panel}}};
    return figure;
}

std::string machine_error_text(const auto& call) {
    try {
        call();
    } catch (const MachineError& error) {
        return error.what();
    }
    return "no error";
}

// A program in the place of gnuplot.
std::string program_that(const TemporaryFolder& folder, const std::string& does) {
    const std::string path = folder.file("program");
    write_file(path, "#!/bin/sh\n" + does + "\n");
    REQUIRE(chmod(path.c_str(), 0755) == 0);
    return path;
}

}  // namespace

TEST_CASE("The file's name says which kind of picture it will be") {
    CHECK(picture_format("a.svg") == PictureFormat::svg);
    CHECK(picture_format("folder.png/a.b.PNG") == PictureFormat::png);
    CHECK(picture_format("a.Pdf") == PictureFormat::pdf);
    for (const std::string path : {"a.jpg", "a", "svg", ".svg", "a.svg/b", ""}) {
        CAPTURE(path);
        CHECK(input_error_text([&] { picture_format(path); }) ==
              "--picture: '" + path +
                  "' does not name a kind of picture; let the file's name end in .svg, .png or .pdf");
    }
}

TEST_CASE("A picture of each kind is drawn, and the same figure gives the same bytes") {
    for (const auto& [name, begins] :
         {std::pair{"a.svg", "<?xml"}, {"a.png", "\x89PNG"}, {"a.pdf", "%PDF-"}}) {
        CAPTURE(name);
        const std::string bytes = drawn(small_figure(), picture_format(name));
        CHECK(bytes.rfind(begins, 0) == 0);
        CHECK(bytes == drawn(small_figure(), picture_format(name)));
        CHECK(bytes.find("CreationDate") == std::string::npos);
    }
}

TEST_CASE("The user's own settings of gnuplot and the locale do not change a picture") {
    const TemporaryFolder folder;
    const std::string usual = drawn(small_figure(), PictureFormat::svg);
    write_file(folder.file(".gnuplot"), "set xlabel 'mine'\nset linetype 1 lc rgb 'red'\n");
    const std::string home = std::getenv("HOME") == nullptr ? "" : std::getenv("HOME");
    setenv("HOME", folder.path().c_str(), 1);
    setenv("GNUPLOT_LIB", folder.path().c_str(), 1);
    setenv("LC_ALL", "C", 1);
    CHECK(drawn(small_figure(), PictureFormat::svg) == usual);
    unsetenv("LC_ALL");
    unsetenv("GNUPLOT_LIB");
    setenv("HOME", home.c_str(), 1);
}

TEST_CASE("A missing gnuplot is named with its package") {
    const TemporaryFolder folder;
    CHECK(machine_error_text([&] { drawn(small_figure(), PictureFormat::svg, folder.file("gnuplot")); }) ==
          "'" + folder.file("gnuplot") +
              "', which draws the pictures, cannot be started (No such file or directory); install gnuplot; "
              "Debian's package is gnuplot-nox");
}

TEST_CASE("What the drawing program complains of is passed on") {
    const TemporaryFolder folder;
    const auto text = [&](const std::string& does) {
        const std::string program = program_that(folder, does);
        return machine_error_text([&] { drawn(small_figure(), PictureFormat::svg, program); });
    };
    CHECK_THAT(text("echo half a picture; echo 'no such  terminal' >&2; exit 3"),
               Catch::Contains("drew nothing (status 3): no such terminal;"));
    CHECK_THAT(text("echo half a picture; kill -9 $$"),
               Catch::Contains("drew nothing (signal 9): it gave no reason;"));
    CHECK_THAT(text("exit 0"), Catch::Contains("drew nothing (status 0)"));
}

TEST_CASE("Every text arrives letter by letter, whatever it means to gnuplot or to XML") {
    const std::vector<std::string> pieces{"'",      "''",  "\"",  "\\",     "@",    "_",     "^",   "{",
                                          "}",      "<",   ">",   "&",      "~",    "`",     "%d",  "%%",
                                          "$x",     "\\n", "#",   ";",      "{/",   "&lt;",  "]]>", "--",
                                          "\u00e9", "L",   "a b", "\u2080", "`ls`", "@a_{b}"};
    std::minstd_rand random(5);
    Figure figure = small_figure();
    Panel& panel = figure.rows[0].panels[0];
    std::vector<std::string> texts{"'quoted'", "it's", "'''", "ends with \\", "'"};
    for (int n = 0; n < 200; ++n) {
        std::string text = "t";
        for (int k = 0; k < 4; ++k)
            text += pieces[random() % pieces.size()];
        texts.push_back(n % 2 == 0 ? text : text.substr(1));
    }
    for (const std::string& text : texts)
        panel.labels.push_back({.text = text, .x = 2, .y = 2});
    const std::string nasty = "'q' \"d\" a_b^{c} @x \\ <&> {/=20 big} %d `date`";
    figure.title = nasty;
    figure.legend[0].text = nasty;
    panel.title = nasty;
    panel.x.label = nasty;
    panel.y.label = nasty;
    panel.x.ticks = {{1.0, nasty}};
    panel.series[0].name = nasty;
    panel.key = Key::top_left;

    const SvgPicture picture(drawn(figure, PictureFormat::svg));
    CHECK(picture.title() == nasty);
    CHECK(picture.description() == "a < b & c");
    CHECK(picture.series.front().name == nasty);
    const std::vector<std::string> words = picture.words();
    CHECK(std::count(words.begin(), words.end(), nasty) == 7);
    for (const std::string& text : texts) {
        CAPTURE(text);
        CHECK(std::count(words.begin(), words.end(), text) == std::count(texts.begin(), texts.end(), text));
    }
}

TEST_CASE("Line ends, control characters and bytes that are not UTF-8 do no harm") {
    Figure figure = small_figure();
    figure.title = "one\nplot 1\ttwo\x01\xff";
    figure.rows[0].panels[0].labels = {{.text = std::string("a\0b\r\n!ls", 8), .x = 2, .y = 2}};
    const SvgPicture picture(drawn(figure, PictureFormat::svg));
    CHECK(picture.title() == "one plot 1 two \uFFFD");
    CHECK(picture.text("a b  !ls").text == "a b  !ls");
}

TEST_CASE("Strokes differ by their dashes, and there is no colour but black, grey and white") {
    Figure figure = small_figure();
    Panel& panel = figure.rows[0].panels[0];
    panel.series.clear();
    for (const Dash dash : {Dash::solid, Dash::dashed, Dash::dotted, Dash::dash_dotted})
        panel.series.push_back({.name = std::to_string(static_cast<int>(dash)),
                                .x = {1, 2},
                                .y = {1, 2 + static_cast<double>(dash)},
                                .stroke = {.dash = dash}});
    panel.series.push_back({.name = "grey", .x = {1, 2}, .y = {2, 2}, .stroke = {.ink = Ink::grey}});
    const SvgPicture picture(drawn(figure, PictureFormat::svg));
    std::set<std::string> dashes;
    for (const std::string name : {"0", "1", "2", "3"})
        dashes.insert(picture.named(name).paths.at(0).dashes);
    CHECK(dashes.size() == 4);
    CHECK(dashes.count("") == 1);
    // The legend's second entry is dashed.
    CHECK(drawn(small_figure(), PictureFormat::svg).find("stroke-dasharray") != std::string::npos);
    CHECK(picture.colours() ==
          std::set<std::string>{"#FFFFFF", "#ffffff", "black", "rgb(0,0,0)", "rgb(128,128,128)"});
}

TEST_CASE("Gaps, empty series and what a logarithmic axis cannot show are left open") {
    Figure figure = small_figure();
    Panel& panel = figure.rows[0].panels[0];
    panel.y.logarithmic = true;
    panel.series = {{.name = "gap", .x = {1, 2, 3, 4, 5}, .y = {1, 2, kGap, 4, 5}},
                    {.name = "zero", .x = {1, 2, 3, 4, 5}, .y = {1, 2, 0, 4, 5}},
                    {.name = "nothing", .x = {1, 2}, .y = {0, -1}},
                    {.name = "empty"}};
    const SvgPicture picture(drawn(figure, PictureFormat::svg));
    CHECK(picture.series.size() == 2);
    for (const std::string name : {"gap", "zero"}) {
        CAPTURE(name);
        CHECK(picture.named(name).paths.size() == 1);
        CHECK(picture.named(name).paths[0].points.size() == 4);
    }
    panel.series.clear();
    panel.y.logarithmic = false;
    CHECK(SvgPicture(drawn(figure, PictureFormat::svg)).title() == "a title");
    CHECK_THROWS_AS(([&] {
                        panel.series = {{.x = {1, 2}, .y = {1}}};
                        drawn(figure, PictureFormat::svg);
                    }()),
                    std::logic_error);
}

TEST_CASE("Points, impulses, bars and error bars stand where the data say") {
    Figure figure = small_figure();
    Panel& panel = figure.rows[0].panels[0];
    panel.x = {.from = 0.0, .to = 10.0};
    panel.y = {.from = 0.0, .to = 10.0};
    panel.right = Axis{.label = "right", .from = 0.0, .to = 100.0};
    using Kind = Series::Kind;
    panel.series = {
        {.name = "ruler", .x = {0, 10}, .y = {0, 10}},
        {.kind = Kind::points, .name = "points", .x = {2, 4}, .y = {5, 6}, .marker = Marker::open_circle},
        {.kind = Kind::impulses, .name = "impulses", .x = {5}, .y = {50}, .on_right_axis = true},
        {.kind = Kind::bars, .name = "bars", .x = {8}, .y = {4}, .fill = Fill::solid, .bar_width = 2.0},
        {.kind = Kind::error_bars,
         .name = "errors",
         .x = {3},
         .y = {5},
         .low = {2},
         .high = {7},
         .marker = Marker::cross}};
    const SvgPicture picture(drawn(figure, PictureFormat::svg));
    const std::vector<SvgPoint> ruler = picture.named("ruler").paths.at(0).points;
    const auto x_of = [&](double x) { return ruler[0].x + (ruler[1].x - ruler[0].x) * x / 10.0; };
    const auto y_of = [&](double y) { return ruler[0].y + (ruler[1].y - ruler[0].y) * y / 10.0; };
    constexpr double kOnePixel = 1.0;
    const auto spans = [&](const SvgPath& path, double x0, double x1, double y0, double y1) {
        const auto [left, right] = std::minmax_element(
            path.points.begin(), path.points.end(), [](const auto& a, const auto& b) { return a.x < b.x; });
        const auto [top, bottom] = std::minmax_element(
            path.points.begin(), path.points.end(), [](const auto& a, const auto& b) { return a.y < b.y; });
        CHECK(left->x == Approx(x_of(x0)).margin(kOnePixel));
        CHECK(right->x == Approx(x_of(x1)).margin(kOnePixel));
        CHECK(bottom->y == Approx(y_of(y0)).margin(kOnePixel));
        CHECK(top->y == Approx(y_of(y1)).margin(kOnePixel));
    };
    CHECK(picture.named("points").markers == 2);
    spans(picture.named("impulses").paths.at(0), 5, 5, 0, 5);
    spans(picture.named("bars").areas.at(0), 7, 9, 0, 4);
    std::vector<SvgPoint> bar;
    for (const SvgPath& path : picture.named("errors").paths)
        bar.insert(bar.end(), path.points.begin(), path.points.end());
    const auto [top, bottom] =
        std::minmax_element(bar.begin(), bar.end(), [](const auto& a, const auto& b) { return a.y < b.y; });
    CHECK(bottom->y == Approx(y_of(2)).margin(kOnePixel));
    CHECK(top->y == Approx(y_of(7)).margin(kOnePixel));
}

TEST_CASE("An axis that the data set shows the zero that bars stand on") {
    Figure figure = small_figure();
    Panel& panel = figure.rows[0].panels[0];
    panel.series = {
        {.kind = Series::Kind::bars, .name = "bars", .x = {1, 2}, .y = {8, 4}, .fill = Fill::solid}};
    const SvgPicture picture(drawn(figure, PictureFormat::svg));
    const auto height = [&](std::size_t bar) {
        const std::vector<SvgPoint>& points = picture.named("bars").areas.at(bar).points;
        const auto [top, bottom] = std::minmax_element(
            points.begin(), points.end(), [](const auto& a, const auto& b) { return a.y < b.y; });
        return bottom->y - top->y;
    };
    CHECK(height(0) == Approx(2.0 * height(1)).margin(1.0));
}
