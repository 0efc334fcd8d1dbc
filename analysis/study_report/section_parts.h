#pragma once
// This header holds what the sections of settings, answers and flicker have in common.

#include <string>
#include <vector>

#include "analysis/pages/document.h"
#include "analysis/summaries/series_facts.h"

namespace isoseam {

// Gives the words of a heading that distinguish a series from others, as in "precision_one_screen.yaml,
// rehearsals, demo data".
std::string series_words(const SeriesFacts& facts);
// Gives what must stand above all figures of a series: that it is a rehearsal, or that it rests on demo data.
std::vector<PageBlock> series_notes(const SeriesFacts& facts);

// A table without rows is left out, and so is a list without items together with its lead.
void add_table(PageSection& section, PageTable table);
void add_paragraphs(PageSection& section, const std::vector<std::string>& paragraphs);
void add_figures(PageSection& section, std::vector<PageFigure> figures);
void add_list(PageSection& section, const std::string& lead, std::vector<std::string> items);
// A part that holds nothing is left out.
void add_part(PageSection& section, PageSection part);

}  // namespace isoseam
