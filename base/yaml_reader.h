#pragma once
// Reads a YAML file so that every fault is found and reported at its line and column, not only the first.
//
// A FaultList collects; a YamlNode is a place in a file that knows its key path. The readers of calibration
// and protocol files are written with these two: they ask for what they expect, note what is wrong, go on,
// and give up once at the end (throw_if_any).
//
//     FaultList faults(path);
//     const YamlNode root = parse_yaml(read_text_file(path), faults);
//     const auto distance_mm = root.at("distance", "a length such as 600 mm").quantity(Dimension::length_mm);
//     faults.throw_if_any();

#include <yaml-cpp/yaml.h>

#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/errors.h"
#include "base/quantity.h"

namespace isoseam {

class FaultList {
  public:
    explicit FaultList(std::string file) : file_(std::move(file)) {}
    const std::string& file() const { return file_; }
    void add(Fault fault);  // fills in the file when unset; the same fault twice counts once
    bool empty() const { return faults_.empty(); }
    const std::vector<Fault>& faults() const { return faults_; }
    void throw_if_any() const;  // InputError with all faults, in the order of their lines

  private:
    std::string file_;
    std::vector<Fault> faults_;
    std::set<std::string> told_;
};

// Reading from a place that does not exist is no fault (at() has noted it, or find() was told that it may be
// missing); it gives nullopt, or an empty list. Reading what has another form is a fault.
class YamlNode {
  public:
    YamlNode(const YamlNode&) = default;
    // Assigning a YAML::Node would change the tree that it stands for.
    YamlNode& operator=(const YamlNode&) = delete;
    bool exists() const;  // present and not null
    bool is_map() const;
    bool is_sequence() const;
    bool is_scalar() const;
    int line() const { return place_.line; }      // from 1; of a missing key, that of the map that lacks it
    int column() const { return place_.column; }  // from 1, in bytes
    const std::string& key_path() const { return key_path_; }  // "rig.left"

    // Notes a fault at this place.
    void fault(std::string found, std::string remedy) const;
    // Runs `parse` on the scalar's text; an InputError of it is noted here, with its column moved to the
    // place in the file (or at the start of the scalar, where escapes or line breaks hide which column that
    // is).
    template <class Function>
    auto parsed(Function&& parse) const -> std::optional<decltype(parse(std::string_view{}))>;

    // Children of a map. at(): a missing or null key is a fault; find(): it is not (exists() is false then).
    // `what_is_expected` is a noun phrase: "the screen's name", "a length such as 600 mm".
    YamlNode at(const std::string& key, std::string_view what_is_expected) const;
    YamlNode find(const std::string& key) const;
    // Notes a fault for every key that is not listed, with the nearest listed one.
    void only_keys(const std::vector<std::string>& known) const;
    std::vector<std::string> keys() const;  // in file order
    std::vector<YamlNode> items() const;  // of a sequence: "lights[1]" is the first; an empty item is a fault

    // Typed reading. Where the value has another form, a fault is noted and nullopt is returned.
    std::optional<std::string> text() const;
    std::optional<double> number() const;  // bare number, finite
    std::optional<long> whole_number(long lowest, long highest) const;
    std::optional<bool> yes_no() const;                         // yes / no / true / false
    std::optional<double> quantity(Dimension dimension) const;  // "600 mm"
    std::optional<double> quantity(Dimension dimension, double lowest, double highest) const;
    std::optional<std::vector<double>> numbers() const;  // sequence of finite numbers
    // The index of the word in the list.
    std::optional<int> choice(const std::vector<std::string>& words) const;

  private:
    struct Place {
        int line = 0;
        int column = 0;
    };
    YamlNode(const YAML::Node& node, Place place, std::string key_path,
             std::shared_ptr<const std::string> source, FaultList& faults);
    static Place place_of(const YAML::Node& node);
    YamlNode child(const YAML::Node& node, Place place, std::string key_path) const;
    bool expect_map() const;
    int column_in_file(int column_in_text) const;
    void note_faults_of_form() const;
    friend YamlNode parse_yaml(const std::string& text, FaultList& faults);

    YAML::Node node_;
    Place place_;
    std::string key_path_;
    std::shared_ptr<const std::string> source_;
    FaultList* faults_;
};

// Parses `text` (of `faults`' file). A syntax error, an empty file or several documents is an InputError at
// once. Noted are a key that stands twice in one map, a key that is not a word and a quotation mark that is
// never closed. The nodes refer to `faults`, which must outlive them.
YamlNode parse_yaml(const std::string& text, FaultList& faults);

// Returns the bytes of the whole file. Throws InputError "cannot be read" with the system's reason.
std::string read_text_file(const std::string& path);

template <class Function>
auto YamlNode::parsed(Function&& parse) const -> std::optional<decltype(parse(std::string_view{}))> {
    const std::optional<std::string> words = text();
    if (!words)
        return std::nullopt;
    try {
        return parse(std::string_view(*words));
    } catch (const InputError& error) {
        for (const Fault& inner : error.faults()) {
            faults_->add({faults_->file(), line(), column_in_file(inner.column),
                          inner.key.empty() ? key_path_ : key_path_ + " (" + inner.key + ")", inner.found,
                          inner.remedy});
        }
        return std::nullopt;
    }
}

}  // namespace isoseam
