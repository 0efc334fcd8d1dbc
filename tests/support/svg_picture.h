#pragma once
// What an SVG picture that gnuplot drew holds: its words, its colours and the strokes of each series.

#include <pugixml.hpp>
#include <set>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace isoseam::test {

struct SvgPoint {
    double x = 0.0;
    double y = 0.0;
};

struct SvgPath {
    std::string dashes;  // "" for a solid stroke
    std::vector<SvgPoint> points;
};

struct SvgSeries {
    std::string name;
    std::vector<SvgPath> paths;
    std::vector<SvgPath> areas;  // filled
    std::size_t markers = 0;
};

struct SvgText {
    std::string text;
    SvgPoint at;
};

class SvgPicture {
  public:
    explicit SvgPicture(const std::string& bytes) {
        const pugi::xml_parse_result result =
            document_.load_buffer(bytes.data(), bytes.size(), pugi::parse_default | pugi::parse_ws_pcdata);
        if (!result)
            throw std::runtime_error(std::string("not XML: ") + result.description());
        for (const pugi::xpath_node& found : document_.select_nodes("//text")) {
            std::istringstream place(found.node().parent().attribute("transform").value());
            SvgText text{found.node().text().get(), {}};
            place.ignore(32, '(') >> text.at.x;
            place.ignore(1) >> text.at.y;
            texts.push_back(text);
        }
        for (const pugi::xpath_node& found : document_.select_nodes("//g[starts-with(@id, 'isoseam_plot')]"))
            series.push_back(series_of(found.node()));
    }

    std::string title() const { return document_.select_node("/svg/title").node().text().get(); }
    std::string description() const { return document_.select_node("/svg/desc").node().text().get(); }
    double width() const { return document_.select_node("/svg").node().attribute("width").as_double(); }

    std::vector<std::string> words() const {
        std::vector<std::string> words;
        for (const SvgText& text : texts)
            words.push_back(text.text);
        return words;
    }

    const SvgText& text(const std::string& wanted) const {
        for (const SvgText& one : texts) {
            if (one.text == wanted)
                return one;
        }
        throw std::runtime_error("no text '" + wanted + "'");
    }

    const SvgSeries& named(const std::string& name) const {
        for (const SvgSeries& one : series) {
            if (one.name == name)
                return one;
        }
        throw std::runtime_error("no series '" + name + "'");
    }

    // Every colour that something is stroked or filled with, without blanks.
    std::set<std::string> colours() const {
        std::set<std::string> colours;
        for (const pugi::xpath_node& found : document_.select_nodes("//@stroke | //@fill | //@color")) {
            std::string colour;
            for (const char c : std::string(found.attribute().value()))
                colour += c == ' ' ? "" : std::string(1, c);
            if (colour != "none" && colour != "currentColor" && colour.rfind("url(", 0) != 0)
                colours.insert(colour);
        }
        return colours;
    }

    std::vector<SvgText> texts;
    std::vector<SvgSeries> series;

  private:
    // "M1,2 L3,4 ..." or "1,2 3,4 ...".
    static std::vector<SvgPoint> points_of(std::string path) {
        for (char& c : path) {
            if (c == 'M' || c == 'L' || c == 'Z' || c == ',')
                c = ' ';
        }
        std::istringstream in(path);
        std::vector<SvgPoint> points;
        SvgPoint point;
        while (in >> point.x >> point.y)
            points.push_back(point);
        return points;
    }

    static SvgSeries series_of(const pugi::xml_node& group) {
        SvgSeries series;
        series.name = group.child("title").text().get();
        for (const pugi::xpath_node& found : group.select_nodes(".//path[@d and not(ancestor::pattern)]"))
            series.paths.push_back({found.node().attribute("stroke-dasharray").value(),
                                    points_of(found.node().attribute("d").value())});
        for (const pugi::xpath_node& found : group.select_nodes(".//polygon"))
            series.areas.push_back({"", points_of(found.node().attribute("points").value())});
        series.markers = group.select_nodes(".//use").size();
        return series;
    }

    pugi::xml_document document_;
};

}  // namespace isoseam::test
