#include "results_schema/export.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "base/ordered_work.h"
#include "results_schema/export_writer.h"
#include "results_schema/records_table.h"
#include "results_schema/session_copies.h"
#include "results_schema/spectra_table.h"

namespace isoseam {
namespace {

namespace fs = std::filesystem;

// One folder, read and made into rows.
struct Piece {
    ExportedFolder folder;
    SessionIdentity identity;
    SessionCard card;
    SessionRows rows;
};

void add_reason(ExportedFolder& folder, const std::string& reason) {
    folder.reason += folder.reason.empty() ? reason : "; " + reason;
}

// The name without the folders above it: where the folder lay is nobody's business.
std::string place_of(const Fault& fault) {
    const std::string name = fs::path(fault.file).filename().string();
    return fault.line > 0 ? fmt::format("{}, line {}", name, fault.line) : name;
}

std::string reason_of(const SessionFolder& folder) {
    const bool has_records = !folder.settings.empty() || !folder.answers.empty();
    if (folder.state == SessionState::damaged) {
        const Fault& fault = folder.faults.front();
        return fmt::format(
            "damaged ({}: {}); {}", place_of(fault), fault.found,
            has_records ? fmt::format("the {} setting(s) and {} answer(s) before the fault are exported",
                                      folder.settings.size(), folder.answers.size())
                        : "nothing of it could be read");
    }
    return has_records ? "" : "it holds no setting and no answer";
}

SessionCard card_of(const SessionFolder& folder) {
    SessionCard card;
    card.session = folder.header.session;
    card.participant = folder.header.participant;
    card.kind = folder.header.kind;
    card.started_utc = folder.header.started_utc;
    card.protocol_file = folder.header.protocol.file;
    card.protocol_sha256 = folder.header.protocol.sha256;
    card.cautions = folder.header.cautions;
    card.demo_calibration = folder.header.demo_calibration;
    card.state = folder.state;
    card.settings = folder.settings.size();
    card.answers = folder.answers.size();
    return card;
}

Piece piece_of(const ExportOrder& order, const std::string& path) {
    const SessionFolder folder = read_session_folder(path, ReadFor::records);
    const TableForm form = order.form == ExportForm::bids ? TableForm::tsv : TableForm::csv;
    Piece piece{{path, folder.header_ok ? folder.header.session : "", folder.state, folder.settings.size(),
                 folder.answers.size(), false, false, reason_of(folder)},
                identity_of(folder),
                card_of(folder),
                {settings_table_rows(folder, form), answers_table_rows(folder, form), {}}};
    if (order.spectrum_of) {
        try {
            piece.rows.spectra = spectra_table_rows(folder, order.spectrum_of);
        } catch (const InputError& error) {
            piece.folder.lacks_spectra = true;
            add_reason(piece.folder,
                       fmt::format("its spectra are not there ({}: {})", place_of(error.faults().front()),
                                   error.faults().front().found));
        }
    }
    return piece;
}

std::unique_ptr<ExportWriter> writer_for(const ExportOrder& order, ExportFiles& files) {
    switch (order.form) {
        case ExportForm::bids:
            return bids_writer(order, files);
        case ExportForm::psych_ds:
            return psych_ds_writer(order, files);
        case ExportForm::csv:
            break;
    }
    return csv_writer(order, files);
}

}  // namespace

bool ExportReport::whole() const {
    return std::all_of(folders.begin(), folders.end(),
                       [](const ExportedFolder& folder) { return folder.reason.empty(); });
}

ExportReport export_sessions(const ExportOrder& order, const SystemCalls& calls) {
    require_session_folders(order.folders);
    ExportFiles files(order.out, calls);
    const std::unique_ptr<ExportWriter> writer = writer_for(order, files);
    ExportReport report;
    std::vector<SessionCard> cards;
    SessionCopies copies;
    Labels labels;
    in_order(
        order.folders.size(), [&](std::size_t i) { return piece_of(order, order.folders[i]); },
        [&](Piece&& piece) {
            const std::string copy = copies.why_left_out(piece.identity);
            if (!copy.empty()) {
                piece.folder.settings = 0;
                piece.folder.answers = 0;
                piece.folder.is_copy = true;
                piece.folder.reason = copy;
            } else if (piece.identity.records > 0) {
                labels.label(piece.card);
                writer->add(piece.card, piece.rows);
                cards.push_back(std::move(piece.card));
            }
            report.folders.push_back(std::move(piece.folder));
        });
    writer->finish(report, cards);
    files.finish();
    report.files = files.names();
    return report;
}

}  // namespace isoseam
