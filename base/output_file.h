#pragma once
// The files that commands write where their options say: one way for all of them.
//
// A file that exists is replaced only with --force. Nothing replaces what the same command reads, nor what is
// no regular file: a folder, a device, a pipe, a link to one of them or to nothing. A link to a regular file
// is itself replaced, and the file that it led to stays.
//
//     write_output(options.out, text, "--out", {options.force, {options.readings}});

#include <string>
#include <string_view>
#include <vector>

namespace isoseam {

struct OutputRules {
    bool force = false;
    // Files and folders that the command reads; every file inside such a folder counts as read.
    std::vector<std::string> inputs{};
};

// Whether the file may be written, asked before the work that makes it: InputError with `option` as key.
void check_output(const std::string& path, const std::string& option, const OutputRules& rules);

// Asks the same again, then writes: the file appears whole or not at all, and what was there stays when
// something fails. MachineError when it cannot be written.
void write_output(const std::string& path, std::string_view bytes, const std::string& option,
                  const OutputRules& rules);

}  // namespace isoseam
