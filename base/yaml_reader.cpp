#include "base/yaml_reader.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <cstdio>
#include <cstring>
#include <map>
#include <set>
#include <tuple>

#include "base/text_scan.h"
#include "base/yaml_document.h"

namespace isoseam {
namespace {

// The text as a fault quotes it: on one line, and shortened.
std::string shown(const std::string& scalar) {
    constexpr std::size_t kLongest = 60;
    std::string text = scalar.size() > kLongest ? scalar.substr(0, kLongest) + "..." : scalar;
    std::replace(text.begin(), text.end(), '\n', ' ');
    return "'" + text + "'";
}

std::string form_of(const YAML::Node& node) {
    if (node.IsMap())
        return "a map";
    if (node.IsSequence())
        return "a list";
    return node.IsScalar() ? shown(node.Scalar()) : "nothing";
}

// Whether the quoted scalar at the start of `text` ends within it. '' and \" do not end it.
bool quotation_ends(std::string_view text) {
    const char mark = text.front();
    for (std::size_t i = 1; i < text.size(); ++i) {
        if (mark == '"' && text[i] == '\\') {
            ++i;
        } else if (text[i] == mark) {
            if (mark == '"' || i + 1 == text.size() || text[i + 1] != mark)
                return true;
            ++i;
        }
    }
    return false;
}

bool parse_yes_no(std::string_view text) {
    if (text == "yes" || text == "true")
        return true;
    if (text == "no" || text == "false")
        return false;
    throw InputError(fmt::format("found '{}'", text), "write yes or no");
}

}  // namespace

void FaultList::add(Fault fault) {
    if (fault.file.empty())
        fault.file = file_;
    if (told_.insert(to_string(fault)).second)
        faults_.push_back(std::move(fault));
}

void FaultList::throw_if_any() const {
    if (faults_.empty())
        return;
    std::vector<Fault> sorted = faults_;
    std::stable_sort(sorted.begin(), sorted.end(), [](const Fault& a, const Fault& b) {
        return std::tie(a.line, a.column) < std::tie(b.line, b.column);
    });
    throw InputError(std::move(sorted));
}

YamlNode::YamlNode(const YAML::Node& node, Place place, std::string key_path,
                   std::shared_ptr<const std::string> source, FaultList& faults)
    : node_(node),
      place_(place),
      key_path_(std::move(key_path)),
      source_(std::move(source)),
      faults_(&faults) {}

YamlNode::Place YamlNode::place_of(const YAML::Node& node) {
    const YAML::Mark mark = node.Mark();
    return {mark.line + 1, mark.column + 1};
}

YamlNode YamlNode::child(const YAML::Node& node, Place place, std::string key_path) const {
    return {node, place, std::move(key_path), source_, *faults_};
}

bool YamlNode::exists() const {
    return node_.IsDefined() && !node_.IsNull();
}
bool YamlNode::is_map() const {
    return node_.IsMap();
}
bool YamlNode::is_sequence() const {
    return node_.IsSequence();
}
bool YamlNode::is_scalar() const {
    return node_.IsScalar();
}

void YamlNode::fault(std::string found, std::string remedy) const {
    faults_->add(
        {faults_->file(), place_.line, place_.column, key_path_, std::move(found), std::move(remedy)});
}

bool YamlNode::expect_map() const {
    if (exists() && !is_map())
        fault("found " + form_of(node_), "write a map here: 'key: value' lines");
    return is_map();
}

int YamlNode::column_in_file(int column_in_text) const {
    if (column_in_text <= 1 || !is_scalar())
        return place_.column;
    const std::string before = node_.Scalar().substr(0, static_cast<std::size_t>(column_in_text) - 1);
    for (const int quotation_mark : {0, 1}) {
        if (text_from(*source_, place_.line, place_.column + quotation_mark).substr(0, before.size()) ==
            before)
            return place_.column + quotation_mark + column_in_text - 1;
    }
    return place_.column;
}

YamlNode YamlNode::find(const std::string& key) const {
    const std::string path = key_path_.empty() ? key : key_path_ + "." + key;
    if (expect_map()) {
        for (const auto& pair : node_) {
            // An empty value gets the place of its key, because yaml-cpp gives it the place of whatever comes
            // next.
            if (pair.first.IsScalar() && pair.first.Scalar() == key)
                return child(pair.second, place_of(pair.second.IsNull() ? pair.first : pair.second), path);
        }
    }
    return child(YAML::Node(), place_, path);
}

YamlNode YamlNode::at(const std::string& key, std::string_view what_is_expected) const {
    YamlNode node = find(key);
    if (is_map() && !node.exists())
        node.fault("is missing", fmt::format("add '{}: ...', {}", key, what_is_expected));
    return node;
}

void YamlNode::only_keys(const std::vector<std::string>& known) const {
    if (!expect_map())
        return;
    for (const auto& pair : node_) {
        if (!pair.first.IsScalar())
            continue;
        const std::string& key = pair.first.Scalar();
        if (std::find(known.begin(), known.end(), key) != known.end())
            continue;
        child(pair.first, place_of(pair.first), key_path_)
            .fault("unknown key " + shown(key),
                   fmt::format("{}known here: {}", did_you_mean(key, known), fmt::join(known, ", ")));
    }
}

std::vector<std::string> YamlNode::keys() const {
    std::vector<std::string> keys;
    if (!expect_map())
        return keys;
    for (const auto& pair : node_) {
        if (pair.first.IsScalar())
            keys.push_back(pair.first.Scalar());
    }
    return keys;
}

std::vector<YamlNode> YamlNode::items() const {
    std::vector<YamlNode> items;
    if (!exists())
        return items;
    if (!is_sequence()) {
        fault("found " + form_of(node_), "write a list here: [a, b, c] or lines that start with '- '");
        return items;
    }
    for (const auto& item : node_) {
        items.push_back(child(item, place_of(item), fmt::format("{}[{}]", key_path_, items.size() + 1)));
        if (!items.back().exists())
            items.back().fault("found an empty item", "write a value or take the item away");
    }
    return items;
}

std::optional<std::string> YamlNode::text() const {
    if (is_scalar())
        return node_.Scalar();
    if (exists())
        fault("found " + form_of(node_), "write a single value here");
    return std::nullopt;
}

std::optional<double> YamlNode::number() const {
    return parsed([](std::string_view words) { return parse_number(words); });
}

std::optional<long> YamlNode::whole_number(long lowest, long highest) const {
    return parsed([&](std::string_view words) {
        long value = 0;
        const auto [end, error] = std::from_chars(words.data(), words.data() + words.size(), value);
        if (error != std::errc{} || end != words.data() + words.size() || value < lowest || value > highest) {
            throw InputError(fmt::format("found '{}'", words),
                             fmt::format("write a whole number from {} to {}", lowest, highest));
        }
        return value;
    });
}

std::optional<bool> YamlNode::yes_no() const {
    return parsed(parse_yes_no);
}

std::optional<double> YamlNode::quantity(Dimension dimension) const {
    return parsed([&](std::string_view words) { return parse_quantity(words, dimension); });
}

std::optional<double> YamlNode::quantity(Dimension dimension, double lowest, double highest) const {
    const std::optional<double> value = quantity(dimension);
    if (value && !(*value >= lowest && *value <= highest)) {
        fault(form_of(node_) + " is out of range",
              fmt::format("write a value from {} to {}", quantity_text(lowest, dimension),
                          quantity_text(highest, dimension)));
        return std::nullopt;
    }
    return value;
}

std::optional<std::vector<double>> YamlNode::numbers() const {
    const std::vector<YamlNode> nodes = items();
    if (!is_sequence())
        return std::nullopt;
    std::vector<double> values;
    for (const YamlNode& node : nodes) {
        if (const std::optional<double> value = node.number())
            values.push_back(*value);
    }
    if (values.size() != nodes.size())
        return std::nullopt;
    return values;
}

std::optional<int> YamlNode::choice(const std::vector<std::string>& words) const {
    const std::optional<std::string> word = text();
    if (!word)
        return std::nullopt;
    const auto found = std::find(words.begin(), words.end(), *word);
    if (found != words.end())
        return static_cast<int>(found - words.begin());
    fault("unknown word " + shown(*word),
          fmt::format("{}write one of: {}", did_you_mean(*word, words), fmt::join(words, ", ")));
    return std::nullopt;
}

// Notes faults of form below this node that the YAML library does not report. Many aliases may refer to one
// anchor, even from inside it, so each collection is looked at only once.
void YamlNode::note_faults_of_form() const {
    std::set<std::tuple<int, int, bool>> seen;
    std::vector<YamlNode> waiting{*this};
    while (!waiting.empty()) {
        const YamlNode node = waiting.back();
        waiting.pop_back();
        if (node.is_scalar()) {
            const std::string_view written = text_from(*source_, node.line(), node.column());
            if (!written.empty() && (written.front() == '"' || written.front() == '\'') &&
                !quotation_ends(written))
                node.fault("a quotation mark is never closed", "close it at the end of the value");
        }
        if (!(node.is_map() || node.is_sequence()) ||
            !seen.insert({node.line(), node.column(), node.is_map()}).second)
            continue;
        if (node.is_sequence()) {
            for (std::size_t i = 0; i < node.node_.size(); ++i) {
                const YAML::Node item = node.node_[i];
                waiting.push_back(child(item, place_of(item), fmt::format("{}[{}]", node.key_path_, i + 1)));
            }
            continue;
        }
        std::map<std::string, int> first_line;
        for (const auto& pair : node.node_) {
            const YamlNode key = child(pair.first, place_of(pair.first), node.key_path_);
            if (!key.is_scalar()) {
                key.fault("a key that is " + form_of(pair.first), "write a word as the key");
                continue;
            }
            const auto [first, is_new] = first_line.try_emplace(pair.first.Scalar(), key.line());
            if (!is_new) {
                key.fault(
                    fmt::format("key {} stands twice, first in line {}", shown(first->first), first->second),
                    "keep one of them");
            }
            const std::string path =
                node.key_path_.empty() ? first->first : node.key_path_ + "." + first->first;
            waiting.push_back(child(pair.second, place_of(pair.second), path));
        }
    }
}

YamlNode parse_yaml(const std::string& text, FaultList& faults) {
    auto source = std::make_shared<const std::string>(without_byte_order_mark(text));
    const YAML::Node document = only_document(*source, faults.file());
    YamlNode root(document, YamlNode::place_of(document), "", std::move(source), faults);
    root.note_faults_of_form();
    return root;
}

std::string read_text_file(const std::string& path) {
    const auto refuse = [&](int reason) {
        throw InputError(Fault{path, 0, 0, "", fmt::format("cannot be read: {}", std::strerror(reason)),
                               "check the path and its permissions"});
    };
    const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "rb"), &std::fclose);
    if (!file)
        refuse(errno);
    std::string content;
    std::array<char, 65536> buffer{};
    while (const std::size_t count = std::fread(buffer.data(), 1, buffer.size(), file.get()))
        content.append(buffer.data(), count);
    if (std::ferror(file.get()))
        refuse(errno);
    return content;
}

}  // namespace isoseam
