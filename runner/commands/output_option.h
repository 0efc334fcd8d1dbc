#pragma once
// A file that a command writes: the option that names it, and --force.
//
//     OutputOption out;
//     out.add_to(command, "calibration file to write")->required();
//     ...
//     options.out.check({options.readings});  // before the work
//     options.out.write(text, {options.readings});

#include <string>
#include <string_view>
#include <vector>

namespace isoseam {

class Command;
class CommandOption;

struct OutputOption {
    std::string option = "--out";
    std::string path{};
    bool force = false;  // whether the file may replace an older one

    // Adds --force too, and returns the option that names the file.
    CommandOption* add_to(Command* command, const std::string& about);
    // Both do what base/output_file.h says. `inputs` are the files and folders that the command reads.
    void check(const std::vector<std::string>& inputs = {}) const;
    void write(std::string_view bytes, const std::vector<std::string>& inputs = {}) const;
};

}  // namespace isoseam
