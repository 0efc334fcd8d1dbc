#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <optional>
#include <utility>

#include "base/errors.h"
#include "colorimetry/light.h"
#include "colorimetry/light_cursor.h"
#include "colorimetry/light_node.h"

namespace isoseam {
namespace {

using NodePtr = std::shared_ptr<const LightSpec::Node>;

constexpr int kDeepestNesting = 32;
constexpr int kFirstLineNm = 360;  // where some observer's sensitivities are known
constexpr int kLastLineNm = 850;

const std::vector<std::string> kKinds = {"monochromatic", "xyY",       "contrast", "pooled-cardinal",
                                         "spectrum",      "blackbody", "daylight", "illuminant",
                                         "equal-energy",  "lms",       "mixture",  "black"};
const std::vector<std::string> kConnectives = {"at", "from"};

// What a contrast is given along, and the words for it.
struct ContrastAxes {
    std::array<std::string_view, 3> names;
    std::string_view one;  // what one of them is called
    std::string_view names_in_words;
    std::string_view example;
};
constexpr ContrastAxes kCones = {{"L", "M", "S"},
                                 "cone",
                                 "L, M or S",
                                 "contrast L 5 % M 0 % S 0 % from LIGHT (cones left out stay at 0 %)"};
constexpr ContrastAxes kCardinalAxes = {
    {"luminance", "L-M", "S"},
    "axis",
    "luminance, L-M or S",
    "pooled-cardinal luminance 1 % L-M 2 % S 10 % from LIGHT (axes left out stay at 0 %)"};

bool contains(const std::vector<std::string>& words, std::string_view word) {
    return std::find(words.begin(), words.end(), word) != words.end();
}

std::string joined(const std::vector<std::string>& words) {
    return fmt::format("{}", fmt::join(words, ", "));
}

NodePtr node(auto light) {
    return std::make_shared<const LightSpec::Node>(LightSpec::Node{std::move(light)});
}

// Recursive descent, one function for each rule:
//   light   = kind its-parameters | name | "(" light ")"
//   operand = name | "black" | "(" light ")"            what "from" and mixtures take
class LightParser {
  public:
    explicit LightParser(std::string_view text) : at_(text) {}

    NodePtr whole() {
        NodePtr result = light();
        if (!at_.at_end()) {
            at_.refuse(fmt::format("'{}' follows a light that is already complete", at_.next_chunk()),
                       "end the light here, or join lights with: mixture A + B");
        }
        return result;
    }

  private:
    NodePtr light() {
        if (at_.peek() == '(') {
            return in_brackets();
        }
        const std::size_t begin = at_.begin_of_next();
        const std::string kind =
            at_.word(fmt::format("begin a light with one of: {}; or with a name", joined(kKinds)));
        if (kind == "monochromatic") {
            return monochromatic();
        }
        if (kind == "xyY") {
            return chromaticity();
        }
        if (kind == "contrast") {
            return contrast();
        }
        if (kind == "pooled-cardinal") {
            return pooled_cardinal();
        }
        if (kind == "spectrum") {
            return file();
        }
        if (kind == "blackbody") {
            return blackbody();
        }
        if (kind == "daylight") {
            return daylight_of_temperature();
        }
        if (kind == "illuminant") {
            return illuminant();
        }
        if (kind == "equal-energy") {
            return node(EqualEnergyLight{required_amount()});
        }
        if (kind == "lms") {
            return excitations();
        }
        if (kind == "mixture") {
            return mixture();
        }
        return black_or_name(kind, begin);
    }

    NodePtr operand() {
        if (at_.peek() == '(') {
            return in_brackets();
        }
        const std::size_t begin = at_.begin_of_next();
        const std::string name = at_.word("write a light's name, black, or a light in brackets");
        if (name != "black" && contains(kKinds, name)) {
            at_.refuse_at(begin, fmt::format("'{}' begins a light of more than one word", name),
                          fmt::format("put that light in brackets: ({} ...)", name));
        }
        return black_or_name(name, begin);
    }

    NodePtr in_brackets() {
        const std::size_t open = at_.begin_of_next();
        const Level level(*this);
        at_.skip_character();
        NodePtr result = light();
        if (at_.peek() != ')') {
            at_.refuse(at_.at_end() ? "the text ends inside brackets"
                                    : fmt::format("found '{}' inside brackets", at_.next_chunk()),
                       fmt::format("close the bracket of column {} with ')'", open + 1));
        }
        at_.skip_character();
        return result;
    }

    NodePtr black_or_name(const std::string& name, std::size_t begin) {
        if (name == "black") {
            return node(BlackLight{});
        }
        if (contains(kConnectives, name)) {
            at_.refuse_at(begin, fmt::format("'{}' where a light is missing", name),
                          fmt::format("write a light's name, or one of: {}", joined(kKinds)));
        }
        const bool complete = at_.at_end() || at_.peek() == ')' || at_.peek() == '+';
        const std::string near_kind = nearest_word(name, kKinds);
        if (!complete && !near_kind.empty()) {
            at_.refuse_at(begin, fmt::format("unknown kind of light '{}'", name),
                          fmt::format("did you mean {}?", near_kind));
        }
        return node(NamedLight{name, static_cast<int>(begin) + 1});
    }

    NodePtr monochromatic() {
        const std::size_t begin = at_.begin_of_next();
        const double nm = at_.quantity(Dimension::wavelength_nm);
        if (!(nm >= kFirstLineNm && nm <= kLastLineNm)) {
            at_.refuse_at(begin,
                          fmt::format("a monochromatic light of {} nm, where no sensitivity is known", nm),
                          fmt::format("give {} to {} nm", kFirstLineNm, kLastLineNm));
        }
        return node(MonochromaticLight{nm, required_amount()});
    }

    NodePtr chromaticity() {
        const std::size_t begin = at_.begin_of_next();
        const double x = at_.number("x");
        const double y = at_.number("y");
        if (!(x >= 0.0 && y > 0.0 && x + y <= 1.0)) {
            at_.refuse_at(begin, fmt::format("x {} and y {} are no chromaticity of a light", x, y),
                          "give x of 0 or more, y greater than 0, and x + y of 1 at most");
        }
        const LightAmount amount = required_amount(false);
        return node(ChromaticityLight{{.chromaticity = {.x = x, .y = y}, .luminance_cd_m2 = amount.value}});
    }

    NodePtr contrast() {
        ContrastLight light_of_contrast;
        light_of_contrast.percent = percents_until_from(kCones, [this] { return contrast_percent(); });
        light_of_contrast.background = operand();
        return node(std::move(light_of_contrast));
    }

    NodePtr pooled_cardinal() {
        PooledCardinalLight light_of_contrast;
        light_of_contrast.column = static_cast<int>(at_.begin_of_next()) + 1;
        light_of_contrast.percent = percents_until_from(kCardinalAxes, [this] { return at_.percent(); });
        light_of_contrast.background = operand();
        return node(std::move(light_of_contrast));
    }

    // "NAME 5 % NAME 6 % from": one name at least, each once at most.
    Eigen::Vector3d percents_until_from(const ContrastAxes& axes, const auto& read_percent) {
        Eigen::Vector3d percents = Eigen::Vector3d::Zero();
        std::array<bool, 3> given = {false, false, false};
        while (true) {
            const std::size_t begin = at_.begin_of_next();
            const std::string name =
                at_.word(fmt::format("write {} and a contrast in %, or: from LIGHT", axes.names_in_words));
            if (name == "from" && (given[0] || given[1] || given[2])) {
                return percents;
            }
            const auto found = std::find(axes.names.begin(), axes.names.end(), name);
            if (found == axes.names.end()) {
                at_.refuse_at(begin, fmt::format("'{}' is no {}", name, axes.one),
                              fmt::format("write: {}", axes.example));
            }
            const auto index = static_cast<std::size_t>(found - axes.names.begin());
            if (given.at(index)) {
                at_.refuse_at(begin, fmt::format("a second contrast for {}", name),
                              fmt::format("give one contrast for each {}", axes.one));
            }
            given.at(index) = true;
            percents[static_cast<Eigen::Index>(index)] = read_percent();
        }
    }

    double contrast_percent() {
        const std::size_t begin = at_.begin_of_next();
        const double percent = at_.percent();
        if (!(percent >= -100.0)) {
            at_.refuse_at(begin, fmt::format("a contrast of {} %", percent),
                          "give -100 % or more (at -100 % nothing is left)");
        }
        return percent;
    }

    NodePtr file() {
        FileLight light_of_file{at_.path(), {}};
        if (at_.next_is_word("at")) {
            light_of_file.amount = required_amount();
        }
        return node(std::move(light_of_file));
    }

    NodePtr blackbody() {
        const std::size_t begin = at_.begin_of_next();
        const double temperature_k = at_.quantity(Dimension::temperature_k);
        if (!(temperature_k > 0.0)) {
            at_.refuse_at(begin, fmt::format("a blackbody of {} K", temperature_k),
                          "give a temperature greater than 0 K");
        }
        return node(BlackbodyLight{temperature_k, required_amount()});
    }

    NodePtr daylight_of_temperature() {
        const std::size_t begin = at_.begin_of_next();
        const double temperature_k = at_.quantity(Dimension::temperature_k);
        if (!(temperature_k >= kCoolestDaylightK && temperature_k <= kHottestDaylightK)) {
            at_.refuse_at(
                begin, fmt::format("daylight of {} K", temperature_k),
                fmt::format("give {} to {} K (the range of CIE 015)", kCoolestDaylightK, kHottestDaylightK));
        }
        return node(DaylightLight{temperature_k, required_amount()});
    }

    NodePtr illuminant() {
        const std::string remedy = "write one of: A, D50, D55, D65, D75, E";
        const std::size_t begin = at_.begin_of_next();
        const std::string name = at_.word(remedy);
        const std::optional<Illuminant> known = illuminant_named(name);
        if (!known) {
            at_.refuse_at(begin, fmt::format("unknown illuminant '{}'", name), remedy);
        }
        return node(IlluminantLight{*known, required_amount()});
    }

    NodePtr excitations() {
        const std::size_t begin = at_.begin_of_next();
        const double l = at_.number("L");
        const double m = at_.number("M");
        const double s = at_.number("S");
        if (!(l >= 0.0 && m >= 0.0 && s >= 0.0)) {
            at_.refuse_at(begin, fmt::format("excitations L {}, M {}, S {}", l, m, s),
                          "give three numbers of 0 or more");
        }
        return node(ExcitationLight{{.l = l, .m = m, .s = s}});
    }

    NodePtr mixture() {
        MixtureLight light_of_mixture;
        while (true) {
            const double factor = at_.next_is_number() ? mixture_factor() : 1.0;
            light_of_mixture.terms.push_back({factor, operand()});
            if (at_.peek() != '+') {
                return node(std::move(light_of_mixture));
            }
            at_.skip_character();
        }
    }

    double mixture_factor() {
        const std::size_t begin = at_.begin_of_next();
        const bool percent = at_.unit_after_number().starts_with('%');
        const double factor = percent ? at_.percent() / 100.0 : at_.number("a factor");
        if (!(factor >= 0.0)) {
            at_.refuse_at(begin, fmt::format("a factor of {}", factor),
                          "light can only be added: give 0 or more");
        }
        return factor;
    }

    LightAmount required_amount(bool radiance_would_do = true) {
        const std::string remedy = radiance_would_do
                                       ? "write how much light: at 20 cd/m2, or at 0.1 W/(sr m2)"
                                       : "write the luminance: at 20 cd/m2";
        if (!at_.next_is_word("at")) {
            at_.refuse(at_.at_end() ? "the text ends before 'at'"
                                    : fmt::format("found '{}' in place of 'at'", at_.next_chunk()),
                       remedy);
        }
        at_.word(remedy);
        const std::size_t begin = at_.begin_of_next();
        const bool is_radiance = radiance_would_do && at_.unit_after_number().starts_with('W');
        const double value =
            at_.quantity(is_radiance ? Dimension::radiance_w_sr_m2 : Dimension::luminance_cd_m2);
        if (!(value >= 0.0)) {
            at_.refuse_at(begin,
                          fmt::format("a negative {} of {}", is_radiance ? "radiance" : "luminance", value),
                          "give 0 or more");
        }
        return {value,
                is_radiance ? LightAmount::Unit::radiance_w_sr_m2 : LightAmount::Unit::luminance_cd_m2};
    }

    // Counts how deep brackets are nested while it lives.
    class Level {
      public:
        explicit Level(LightParser& parser) : parser_(parser) {
            if (++parser_.depth_ > kDeepestNesting) {
                parser_.at_.refuse(fmt::format("brackets more than {} deep", kDeepestNesting),
                                   "name some of these lights and use the names");
            }
        }
        ~Level() { --parser_.depth_; }
        Level(const Level&) = delete;
        Level& operator=(const Level&) = delete;

      private:
        LightParser& parser_;
    };

    LightCursor at_;
    int depth_ = 0;
};

}  // namespace

LightSpec parse_light(std::string_view text) {
    return LightSpec(LightParser(text).whole());
}

bool is_light_name(std::string_view name) {
    return !name.empty() && is_light_letter(name.front()) &&
           std::all_of(name.begin(), name.end(), is_light_name_character) && !contains(kKinds, name) &&
           !contains(kConnectives, name);
}

}  // namespace isoseam
