#include <catch2/catch.hpp>
#include <filesystem>
#include <map>

#include "base/version.h"
#include "protocols/language/protocol.h"
#include "results_schema/sha256.h"
#include "runner/rehearsal/rehearsal.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// SHA-256 of the rehearsal below. It changes when the ready protocol, the demo calibration, the form of the
// records or the last bit of any number in them changes. Write the new one here when that was meant, and say
// so in CHANGELOG.md.
constexpr const char* kGolden = "a89e20e1f431f9a38d556438eea9ac8b983509a800b8bf2b8b9cb107f9b5b688";

std::string without(std::string text, const std::string& part, std::size_t count) {
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at))
        text.erase(at, count);
    return text;
}

// A new version of the program computes the same, so its number is left out, and with it the checksums of
// the lines of the log: each covers the line before it, and the first covers the header with the version in
// it.
std::string without_version(const std::string& bytes) {
    const std::string checksum = R"(,"checksum":")";
    const std::string version = std::string("\"") + kProgramVersion + "\"";
    const std::string lines = without(bytes, checksum, checksum.size() + 64);
    const std::size_t key = lines.find("\"program_version\"");
    if (key == std::string::npos)
        return lines;
    const std::size_t value = lines.find(version, key);
    REQUIRE(value != std::string::npos);
    return lines.substr(0, value) + lines.substr(value + version.size());
}

// Name, size and bytes of every file, in the order of their names.
std::string whole_text(const std::string& folder) {
    std::map<std::string, std::string> files;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file())
            files[std::filesystem::relative(entry.path(), folder).string()] =
                without_version(file_bytes(entry.path().string()));
    }
    REQUIRE(files.size() == 6);  // header and log of three sessions
    std::string all;
    for (const auto& [name, bytes] : files)
        all += name + '\n' + std::to_string(bytes.size()) + '\n' + bytes;
    return all;
}

}  // namespace

// tests/base/random_test.cpp holds the random numbers to a golden stream; this holds all that is computed
// from them. Only the C library's own functions (log, sin, pow) may still differ in a last bit, between
// versions and processors.
TEST_CASE("a rehearsal of a ready protocol has the bytes that it had before, on any machine") {
    Protocol protocol = read_protocol(ISOSEAM_SOURCE_DIR "/protocols/library/precision_one_screen.yaml");
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(protocol, {}))
        calibrations.push_back(read_calibration(path));
    const Setup setup(std::move(protocol), calibrations);
    const TemporaryFolder out;
    RehearsalPlan plan;
    plan.out = out.path();
    plan.observers = 3;
    plan.seed = 21;
    plan.threads = 2;
    const std::atomic<bool> never = false;
    rehearse(setup, plan, {[](const std::string&) {}, [](int) {}, {}}, never);
    CHECK(sha256_hex(whole_text(out.path())) == kGolden);
}
