/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/text.h"
#include "present/picture/map.h"
#include "present/picture/storey.h"
#include "present/report/sections.h"

/* Shares of the cells: with the reserve asked for, with less, not dependable. Rounded so that they add up to 100. */
static void find_shares(const earshot_grid *grid, double need_db, unsigned percent[3])
{
    const size_t n = grid->rows * grid->columns;
    size_t good = 0, bad = 0;
    for (size_t i = 0; i < n; i++) {
        good += grid->dependable_db[i] >= need_db;
        bad += !(grid->dependable_db[i] >= 0.0);
    }
    percent[0] = (unsigned)((100 * good + n / 2) / n);
    percent[2] = (unsigned)((100 * bad + n / 2) / n);
    if (percent[0] + percent[2] > 100) percent[2] = 100 - percent[0];
    percent[1] = 100 - percent[0] - percent[2];
}

static void add_map(const es_report *r, const earshot_map_view *view)
{
    es_document *d = r->document;
    es_map_subject *subject = es_document_take(d, sizeof *subject);
    earshot_map_view *own = es_document_take(d, sizeof *own); /* with the verdicts that are proposed */
    const char *storey = es_storey_words(r->plan, view->grid->storey);
    char share[3][ES_SAY_FIGURE];
    unsigned percent[3];
    earshot_text caption = {0}, instead = {0};
    if (!subject || !own) return;
    *own = *view;
    own->check = r->check;
    *subject = (es_map_subject){r->check->site, own, true};
    find_shares(view->grid, r->check->need.margin_db, percent);
    for (int i = 0; i < 3; i++) es_say_figure(share[i], r->language, percent[i], 0);
    ES_SAY(&caption, r->language, ES_SAY_MAP_CAPTION, storey);
    ES_SAY(&instead, r->language, ES_SAY_MAP_INSTEAD, storey, share[0], share[1], share[2]);
    if (caption.failed || instead.failed) d->status = EARSHOT_MEMORY;
    es_document_picture(d, (es_picture){es_map_compose, subject, false}, caption.data, instead.data);
    earshot_text_clear(&caption);
    earshot_text_clear(&instead);
}

void es_section_maps(const es_report *report)
{
    if (report->request->n_maps == 0) return;
    ES_PUT(report->document, ES_BLOCK_HEADING, 2, ES_SAY_MAPS, "");
    ES_PUT(report->document, ES_BLOCK_PARAGRAPH, 0, ES_SAY_MAPS_INTRO, "");
    for (size_t i = 0; i < report->request->n_maps; i++) {
        const earshot_map_view *view = &report->request->map[i];
        es_document_words(report->document, ES_BLOCK_HEADING, 3, es_storey_words(report->plan, view->grid->storey));
        add_map(report, view);
    }
}
