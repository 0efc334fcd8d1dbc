#pragma once
// The parts of the protocol reader, one per section of the file. Each notes what is wrong at its place and
// goes on.

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "calibration/yaml_reader.h"
#include "protocols/protocol.h"

namespace isoseam {

// Reads lights in the words of colorimetry/light.h, checks that the lights and files they refer to exist, and
// keeps in the protocol where each stands and what its files hold.
class LightReader {
  public:
    // `lights` is the section that gives lights their names; it may be missing.
    // `files`: texts of spectrum files by path as written; null: they are read.
    LightReader(const YamlNode& lights, Protocol& protocol, FaultList& faults,
                const std::map<std::string, std::string>* files = nullptr);

    std::optional<LightSpec> read(const YamlNode& node);
    void read_named_lights();

  private:
    void check_names(const LightSpec& spec, const YamlNode& node) const;
    void read_files(const LightSpec& spec, const YamlNode& node);
    void check_cycles() const;

    YamlNode lights_;
    std::vector<std::string> names_;
    Protocol* protocol_;
    FaultList* faults_;
    const std::map<std::string, std::string>* files_;
};

using HalfNames = std::array<std::string, 2>;

void read_observer(const YamlNode& node, Protocol& protocol);
// The names of the halves, if there are any and the split could be read.
std::optional<HalfNames> read_field(const YamlNode& node, Protocol& protocol, LightReader& lights);
void read_rig(const YamlNode& node, const std::optional<HalfNames>& halves, Protocol& protocol);
void read_flicker(const YamlNode& node, Protocol& protocol);  // after the field
void read_adaptation(const YamlNode& node, Protocol& protocol, LightReader& lights);
void read_instructions(const YamlNode& node, Protocol& protocol);
void read_adjustment(const YamlNode& node, const std::optional<HalfNames>& halves, Protocol& protocol);
void read_conditions(const YamlNode& node, Protocol& protocol, LightReader& lights);

// A text that is not blank.
std::optional<std::string> read_words(const YamlNode& node);
// A quantity that is not below 0, or above 0.
std::optional<double> read_not_negative(const YamlNode& node, Dimension dimension);
std::optional<double> read_positive(const YamlNode& node, Dimension dimension);
// Notes a fault if there is such a key.
void refuse(const YamlNode& node, std::string found, std::string remedy);
// left, right, upper or lower.
bool is_half_name(const std::string& word);

}  // namespace isoseam
