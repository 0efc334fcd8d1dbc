#pragma once
// What the sections of settings, answers and flicker have in common.

#include <string>
#include <vector>

#include "analysis/pages/document.h"
#include "analysis/summaries/series_facts.h"

namespace isoseam {

// Heading words that tell a series from others: "precision_one_screen.yaml, rehearsals, demo data".
std::string series_words(const SeriesFacts& facts);
// What must stand above each of its figures: that it is a rehearsal, or rests on demo data.
std::vector<PageBlock> series_notes(const SeriesFacts& facts);

// A table without rows and a list without items are left out, the list's lead too.
void add_table(PageSection& section, PageTable table);
void add_figures(PageSection& section, std::vector<PageFigure> figures);
void add_list(PageSection& section, const std::string& lead, std::vector<std::string> items);

}  // namespace isoseam
