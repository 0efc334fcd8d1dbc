#pragma once
// Reads a YAML file so that every fault is found and reported at its line and column, not only the first.
//
// A FaultList collects faults. A YamlNode is a place in a file, and it knows its key path. The readers of
// calibration and protocol files are written with these two. They ask for what they expect, note what is
// wrong and go on. At the end they throw all faults at once (throw_if_any).
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
    // Fills in the file if the fault does not name one. A fault that is added twice counts once.
    void add(Fault fault);
    bool empty() const { return faults_.empty(); }
    const std::vector<Fault>& faults() const { return faults_; }
    // Throws an InputError with all faults, in the order of their lines, if there are any.
    void throw_if_any() const;

  private:
    std::string file_;
    std::vector<Fault> faults_;
    std::set<std::string> told_;
};

// A place in a YAML file. Reading from a place that does not exist notes no fault and gives nullopt or an
// empty list, because at() has already noted a missing key, and find() is for keys that may be missing.
// Reading a value that has another form is a fault.
class YamlNode {
  public:
    YamlNode(const YamlNode&) = default;
    // Assigning a YAML::Node would change the tree that it stands for.
    YamlNode& operator=(const YamlNode&) = delete;
    bool exists() const;  // Whether the place is in the file and not null.
    bool is_map() const;
    bool is_sequence() const;
    bool is_scalar() const;
    // The line counts from 1. A missing key has the line of the map that lacks it.
    int line() const { return place_.line; }
    int column() const { return place_.column; }               // The column counts bytes, from 1.
    const std::string& key_path() const { return key_path_; }  // "rig.left"

    // Notes a fault at this place.
    void fault(std::string found, std::string remedy) const;
    // Runs `parse` on the scalar's text. If `parse` throws an InputError, its faults are noted at this place,
    // with their columns counted in the file. Where escapes or line breaks hide the column, it is that of the
    // scalar's start.
    template <class Function>
    auto parsed(Function&& parse) const -> std::optional<decltype(parse(std::string_view{}))>;

    // The children of a map. For at() a missing or null key is a fault. For find() it is none, and exists()
    // of the result is false. `what_is_expected` is a noun phrase, such as "the screen's name" or "a length
    // such as 600 mm".
    YamlNode at(const std::string& key, std::string_view what_is_expected) const;
    YamlNode find(const std::string& key) const;
    // Notes a fault for every key that is not listed. The fault names the nearest listed key.
    void only_keys(const std::vector<std::string>& known) const;
    std::vector<std::string> keys() const;  // The keys come in the order of the file.
    // The items of a sequence. The first one has a path such as "lights[1]". An empty item is a fault.
    std::vector<YamlNode> items() const;

    // Typed reading. Where the value has another form, a fault is noted and nullopt is returned.
    std::optional<std::string> text() const;
    std::optional<double> number() const;  // a finite number without a unit
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
