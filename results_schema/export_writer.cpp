#include "results_schema/export_writer.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <iterator>

namespace isoseam {
namespace {

namespace fs = std::filesystem;

bool is_letter_or_digit(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
}

std::string lower_case(std::string text) {
    for (char& c : text) {
        c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    }
    return text;
}

// Returns the wanted label. Where another participant has it already, x2, x3 and so on stands after it.
std::string unused_label(const std::string& wanted, std::set<std::string>& used) {
    std::string label = wanted;
    for (int n = 2; !used.insert(lower_case(label)).second; ++n) {
        label = fmt::format("{}x{}", wanted, n);
    }
    return label;
}

// Words that hold nothing of the folder but its name. What a fault quotes, and where the folder lay, is
// nobody's business.
std::string note_on(const ExportedFolder& folder) {
    if (folder.is_copy) {
        return "given more than once, and here once";
    }
    if (folder.settings + folder.answers == 0) {
        return folder.state == SessionState::damaged ? "damaged; nothing of it could be read"
                                                     : "it holds no setting and no answer";
    }
    const std::string damage =
        folder.state == SessionState::damaged
            ? fmt::format("damaged; the {} setting(s) and {} answer(s) before the fault are here",
                          folder.settings, folder.answers)
            : "";
    const std::string spectra = folder.lacks_spectra ? "its spectra are not here" : "";
    return damage + (damage.empty() || spectra.empty() ? "" : "; ") + spectra;
}

std::string left_out(const ExportReport& report) {
    std::string text = "\n## Left out\n\n";
    for (const ExportedFolder& folder : report.folders) {
        if (!folder.reason.empty()) {
            const fs::path path = fs::path(folder.folder).lexically_normal();
            const fs::path name = path.has_filename() ? path.filename() : path.parent_path().filename();
            text += fmt::format("- {}: {}\n", folder.session.empty() ? name.string() : folder.session,
                                note_on(folder));
        }
    }
    return text;
}

}  // namespace

void Labels::label(SessionCard& card) {
    std::string& label = participants_[card.participant];
    if (label.empty()) {
        const std::string wanted = label_of(card.participant);
        // The code has no letter and no digit.
        label = unused_label(wanted.empty() ? "x" : wanted, used_);
    }
    card.participant_label = label;
    card.session_label = fmt::format("{:02}", ++sessions_[card.participant]);
}

std::string label_of(std::string_view text) {
    std::string label;
    std::copy_if(text.begin(), text.end(), std::back_inserter(label), is_letter_or_digit);
    return label;
}

std::string task_name(const SessionCard& card, std::string_view what) {
    return fmt::format("{} {}", fs::path(card.protocol_file).stem().string(), what);
}

std::string levels_text(const Column& column) {
    std::string text;
    for (const auto& [value, meaning] : column.levels) {
        text += fmt::format("{}{}: {}", text.empty() ? "" : "; ", value, meaning);
    }
    return text;
}

std::string export_readme(const ExportOrder& order, const ExportReport& report,
                          const std::vector<SessionCard>& cards) {
    std::set<std::string> participants;
    std::size_t rehearsals = 0;
    std::size_t demo = 0;
    std::set<std::string> cautions;
    for (const SessionCard& card : cards) {
        participants.insert(card.participant);
        rehearsals += card.kind == "rehearsal" ? 1 : 0;
        demo += card.demo_calibration ? 1 : 0;
        cautions.insert(card.cautions.begin(), card.cautions.end());
    }
    std::string text = fmt::format(
        "# {}\n\nColour matches and answers of {} session(s) by {} participant(s), exported on {} by Isoseam "
        "{}.\n"
        "{} of the sessions were rehearsed by a simulated observer (kind: rehearsal); {} rest on invented or "
        "estimated\n"
        "calibrations (demo_calibration: true) and are not for science.\n\n"
        "Participants are known by their codes only. What they agreed to or were asked is not in this data "
        "set.\n"
        "These data diagnose nothing: that belongs to a qualified person with an approved instrument.\n\n"
        "Excitations are those of the nominal observer; 0 along an axis is the predicted match. The columns "
        "are\n"
        "described in the files beside the tables. Before you pass the data on, add its licence and "
        "authors.\n",
        order.name, cards.size(), participants.size(), order.date, order.program_version, rehearsals, demo);
    if (!cautions.empty()) {
        text += "\n## What these matches cannot show\n\n";
        for (const std::string& caution : cautions) {
            text += fmt::format("- {}\n", caution);
        }
    }
    return report.whole() ? text : text + left_out(report);
}

}  // namespace isoseam
