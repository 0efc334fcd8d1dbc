#include "calibration/instruments/serial_dialect.h"

#include <fmt/format.h>

#include "base/yaml_reader.h"

namespace isoseam {
namespace {

constexpr double kLongestWaitSeconds = 3600.0;
constexpr double kLeastNm = 100.0;  // what a Spectrum may hold
constexpr double kMostNm = 5000.0;
constexpr int kMostSamples = 10000;

const std::vector<std::string> kParities{"none", "even", "odd"};
const std::vector<std::string> kFlows{"none", "hardware", "software"};
const std::vector<std::string> kSeparators{"line", "comma", "semicolon", "blank", "tab"};
const std::vector<std::string> kHolds{"values", "pairs"};
const std::vector<std::string> kMeanings{"saturated", "too dark", "failed"};

// Collects into `dialect`; what is wrong is noted, and what was read of it never used.
class DialectReader {
  public:
    DialectReader(const YamlNode& root, SerialDialect& dialect) : root_(root), dialect_(dialect) {}

    void read() {
        const std::optional<long> version =
            root_.at("isoseam_dialect", "the version of this format, 1").whole_number(0, 1'000'000);
        if (!version)
            return;
        if (*version != kDialectVersion) {
            root_.at("isoseam_dialect", "")
                .fault(fmt::format("version {}", *version),
                       fmt::format("this program reads version {}", kDialectVersion));
            return;
        }
        root_.only_keys(
            {"isoseam_dialect", "instrument", "line", "opening", "reading", "scale", "unit", "replies"});
        set(dialect_.instrument, root_.at("instrument", "which instrument it is").text());
        read_line(root_.at("line", "the settings of the line"));
        for (const YamlNode& item : root_.find("opening").items()) {
            item.only_keys({"send", "until", "expect", "within"});
            dialect_.opening.push_back(exchange(item));
        }
        read_reading(root_.at("reading", "how a reading is asked for"));
        read_scale();
        for (const YamlNode& item : root_.find("replies").items())
            read_reply(item);
    }

  private:
    template <class Value, class Read>
    static void set(Value& target, const std::optional<Read>& read) {
        if (read)
            target = static_cast<Value>(*read);
    }

    void read_line(const YamlNode& line) {
        if (!line.exists())
            return;
        line.only_keys({"baud", "data_bits", "parity", "stop_bits", "flow"});
        set(dialect_.line.baud, line.at("baud", "a speed such as 9600").whole_number(50, 4'000'000));
        set(dialect_.line.data_bits, line.find("data_bits").whole_number(5, 8));
        set(dialect_.line.parity, line.find("parity").choice(kParities));
        set(dialect_.line.stop_bits, line.find("stop_bits").whole_number(1, 2));
        set(dialect_.line.flow, line.find("flow").choice(kFlows));
    }

    static SerialExchange exchange(const YamlNode& node) {
        SerialExchange exchange;
        set(exchange.send, node.at("send", "the bytes to send, in double quotes").text());
        set(exchange.until, node.at("until", "the bytes that end an answer, such as \"\\r\\n\"").text());
        if (node.find("until").exists() && exchange.until.empty())
            node.find("until").fault("is empty", "write the bytes that end an answer, such as \"\\r\\n\"");
        set(exchange.expect, node.find("expect").text());
        set(exchange.within_s, node.at("within", "a time such as 30 s")
                                   .quantity(Dimension::duration_s, 0.001, kLongestWaitSeconds));
        return exchange;
    }

    void read_reading(const YamlNode& node) {
        if (!node.exists())
            return;
        node.only_keys(
            {"send", "until", "within", "skip_lines", "separated_by", "holds", "first", "step", "count"});
        dialect_.reading = exchange(node);
        set(dialect_.skip_lines, node.find("skip_lines").whole_number(0, 1000));
        set(dialect_.separated_by, node.at("separated_by", "what stands between values").choice(kSeparators));
        const std::optional<int> holds = node.at("holds", "'values' or 'pairs'").choice(kHolds);
        set(dialect_.count, node.find("count").whole_number(2, kMostSamples));
        if (!holds)
            return;
        dialect_.pairs = *holds == 1;
        dialect_.pairs ? refuse_grid(node) : read_grid(node);
    }

    static void refuse_grid(const YamlNode& node) {
        for (const char* key : {"first", "step"}) {
            if (node.find(key).exists())
                node.find(key).fault("pairs carry their own wavelengths",
                                     "leave it out, or write holds: values");
        }
    }

    void read_grid(const YamlNode& node) {
        set(dialect_.first_nm, node.at("first", "the first wavelength, such as 380 nm")
                                   .quantity(Dimension::wavelength_nm, kLeastNm, kMostNm));
        set(dialect_.step_nm, node.at("step", "from one wavelength to the next, such as 2 nm")
                                  .quantity(Dimension::wavelength_nm, 0.01, 100.0));
        static_cast<void>(node.at("count", "how many values there are"));
        const double last_nm = dialect_.first_nm + dialect_.step_nm * (dialect_.count.value_or(1) - 1);
        if (last_nm > kMostNm) {
            node.find("count").fault(fmt::format("the last value would stand at {:g} nm", last_nm),
                                     fmt::format("end at {:g} nm at most", kMostNm));
        }
    }

    void read_scale() {
        if (const YamlNode scale = root_.find("scale"); scale.exists()) {
            set(dialect_.scale, scale.number());
            if (!(dialect_.scale > 0.0))
                scale.fault("is not above 0", "write what a value is multiplied by to be in the unit");
        }
        set(dialect_.unit, root_.at("unit", "'W/(sr m2 nm)' or 'counts'").parsed([](std::string_view words) {
            return parse_reading_unit(std::string(words), "");
        }));
    }

    void read_reply(const YamlNode& node) {
        node.only_keys({"begins", "means", "remedy"});
        NoSpectrumReply reply;
        set(reply.begins, node.at("begins", "how the answer's line begins").text());
        if (node.find("begins").exists() && reply.begins.empty())
            node.find("begins").fault("is empty", "write how the answer's line begins");
        const std::optional<int> means =
            node.at("means", "'saturated', 'too dark' or 'failed'").choice(kMeanings);
        if (means)
            reply.means = *means == 0   ? Trouble::saturated
                          : *means == 1 ? Trouble::too_dark
                                        : Trouble::failed;
        set(reply.remedy, node.find("remedy").text());
        dialect_.replies.push_back(reply);
    }

    const YamlNode& root_;
    SerialDialect& dialect_;
};

}  // namespace

SerialDialect parse_dialect(const std::string& text, const std::string& file) {
    FaultList faults(file);
    const YamlNode root = parse_yaml(text, faults);
    SerialDialect dialect;
    dialect.file = file;
    dialect.text = text;
    DialectReader(root, dialect).read();
    faults.throw_if_any();
    return dialect;
}

SerialDialect read_dialect(const std::string& path) {
    return parse_dialect(read_text_file(path), path);
}

}  // namespace isoseam
