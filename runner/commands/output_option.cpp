#include "runner/commands/output_option.h"

#include "base/output_file.h"
#include "runner/commands/command.h"

namespace isoseam {

CommandOption* OutputOption::add_to(Command* command, const std::string& about) {
    CommandOption* names_file = command->add_option(option, path, about);
    add_force_option(command, force);
    return names_file;
}

void OutputOption::check(const std::vector<std::string>& inputs) const {
    check_output(path, option, {force, inputs});
}

void OutputOption::write(std::string_view bytes, const std::vector<std::string>& inputs) const {
    write_output(path, bytes, option, {force, inputs});
}

}  // namespace isoseam
