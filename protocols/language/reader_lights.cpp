#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <filesystem>
#include <set>

#include "protocols/language/reader_parts.h"

namespace isoseam {
namespace {

// Follows `name` from light to light and returns the first ring of names that this runs into. The ring is a
// path that ends with the name that it begins with. It is empty if there is no ring.
std::vector<std::string> find_ring(const Protocol& protocol, const std::string& name,
                                   std::vector<std::string> path, std::set<std::string>& cleared) {
    const auto first = std::find(path.begin(), path.end(), name);
    const bool closes = first != path.end();
    if (closes)
        path.erase(path.begin(), first);
    path.push_back(name);
    if (closes)
        return path;
    const auto light = protocol.lights.find(name);
    if (light == protocol.lights.end() || cleared.count(name) > 0)
        return {};
    for (const std::string& used : light->second.spec.names_used()) {
        std::vector<std::string> ring = find_ring(protocol, used, path, cleared);
        if (!ring.empty())
            return ring;
    }
    cleared.insert(name);
    return {};
}

const std::string& kept_text(const std::map<std::string, std::string>& files, const std::string& path) {
    const auto found = files.find(path);
    if (found == files.end())
        throw InputError(
            Fault{path, 0, 0, "", "is not among the files that were kept", "restore the record"});
    return found->second;
}

}  // namespace

LightReader::LightReader(const YamlNode& lights, Protocol& protocol, FaultList& faults,
                         const std::map<std::string, std::string>* files)
    : lights_(lights), names_(lights.keys()), protocol_(&protocol), faults_(&faults), files_(files) {}

std::optional<LightSpec> LightReader::read(const YamlNode& node) {
    std::optional<LightSpec> spec = node.parsed(parse_light);
    if (!spec)
        return std::nullopt;
    protocol_->places[node.key_path()] = {node.line(), node.column()};
    check_names(*spec, node);
    read_files(*spec, node);
    return spec;
}

void LightReader::read_named_lights() {
    for (const std::string& name : names_) {
        const YamlNode node = lights_.at(name, "a light such as 'xyY 0.31 0.33 at 30 cd/m2'");
        if (!is_light_name(name)) {
            node.fault(
                fmt::format("'{}' cannot name a light", name),
                "write a letter, then letters, digits, '_' and '-', and none of the words that lights are "
                "written with (such as black, contrast, at, from)");
        }
        const std::optional<LightSpec> spec = read(node);
        if (spec)
            protocol_->lights.insert_or_assign(name, ProtocolLight{*spec, node.line(), node.column()});
    }
    check_cycles();
}

void LightReader::check_names(const LightSpec& spec, const YamlNode& node) const {
    for (const std::string& name : spec.names_used()) {
        if (std::find(names_.begin(), names_.end(), name) != names_.end())
            continue;
        std::vector<std::string> meant = names_;
        meant.emplace_back("black");
        const std::string guess = did_you_mean(name, meant);
        node.fault(fmt::format("unknown light '{}'", name),
                   names_.empty()
                       ? guess + "describe it under 'lights'"
                       : fmt::format("{}describe it under 'lights', or use one that stands there: {}", guess,
                                     fmt::join(names_, ", ")));
    }
}

void LightReader::read_files(const LightSpec& spec, const YamlNode& node) {
    for (const std::string& path : spec.files_used()) {
        const std::string resolved = (std::filesystem::path(protocol_->file).parent_path() / path).string();
        try {
            std::string text = files_ == nullptr ? read_text_file(resolved) : kept_text(*files_, path);
            parse_spectrum_table(text, resolved);
            protocol_->spectrum_files.insert_or_assign(path, std::move(text));
        } catch (const InputError& error) {
            for (const Fault& fault : error.faults()) {
                if (fault.line > 0) {
                    faults_->add(fault);  // The fault's own place, inside the spectrum file, says more.
                } else {
                    node.fault(fmt::format("spectrum file '{}': {}", resolved, fault.found), fault.remedy);
                }
            }
        }
    }
}

void LightReader::check_cycles() const {
    std::set<std::string> cleared;
    for (const auto& [name, light] : protocol_->lights) {
        const std::vector<std::string> ring = find_ring(*protocol_, name, {}, cleared);
        if (ring.empty())
            continue;
        // Each ring is told once, at that light of the ring which stands first in the file.
        const auto first = std::min_element(ring.begin(), ring.end() - 1, [&](const auto& a, const auto& b) {
            return protocol_->lights.at(a).line < protocol_->lights.at(b).line;
        });
        const ProtocolLight& place = protocol_->lights.at(*first);
        faults_->add(
            {protocol_->file, place.line, place.column, "lights." + *first,
             fmt::format("lights are described by each other in a ring: {}", fmt::join(ring, " -> ")),
             "describe one of them by itself"});
        cleared.insert(ring.begin(), ring.end());
        cleared.insert(name);
    }
}

}  // namespace isoseam
