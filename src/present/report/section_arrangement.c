/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The arrangement that `place` found: its repeaters, and its cables with their lengths. */
#include <math.h>

#include "base/text.h"
#include "present/report/sections.h"

static const char *spot_words(const earshot_placement *p, size_t spot)
{
    return p->spot[spot].label ? p->spot[spot].label : p->spot[spot].name;
}

/* Nobody buys 7.3 m of cable; and the ends want some. */
static void put_cable(const es_report *r, size_t device, const earshot_cable *cable)
{
    es_document *d = r->document;
    char figure[ES_SAY_FIGURE];
    es_document_cell(d, es_report_device(r, device));
    ES_SAY(&d->scratch, r->language, ES_SAY_METRES, es_say_figure(figure, r->language, ceil(cable->length_m), 0));
    es_document_cell_scratch(d);
    es_document_cell_figure(d, cable->walls, 0);
    es_document_cell_figure(d, cable->slabs, 0);
    if (cable->serves)
        ES_SAY(&d->scratch, r->language, ES_SAY_SECTION, es_say_figure(figure, r->language, cable->section_mm2, 2));
    else
        es_text_add(&d->scratch, es_message_text(r->language, ES_SAY_OWN_SUPPLY));
    es_document_cell_scratch(d);
}

static void put_cables(const es_report *r, const earshot_choice *choice)
{
    static const es_message HEAD[] = {ES_SAY_COLUMN_DEVICE, ES_SAY_COLUMN_CABLE, ES_SAY_COLUMN_HOLES_WALL,
                                      ES_SAY_COLUMN_HOLES_FLOOR, ES_SAY_COLUMN_SECTION};
    enum { COLUMNS = sizeof HEAD / sizeof HEAD[0] };
    if (choice->n_wired == 0) return;
    es_block *table = es_document_table(r->document, COLUMNS, es_message_text(r->language, ES_SAY_CABLES));
    if (!table) return;
    table->right = 0xe;
    for (size_t i = 0; i < COLUMNS; i++) es_document_cell(r->document, es_message_text(r->language, HEAD[i]));
    for (size_t i = 0; i < choice->n_devices; i++)
        if (choice->device[i].verdict == EARSHOT_VERDICT_WIRE && choice->device[i].served)
            put_cable(r, i, &choice->device[i].cable);
    ES_PUT(r->document, ES_BLOCK_PARAGRAPH, 0, ES_SAY_CABLES_NOTE, "");
}

static void put_repeaters(const es_report *r, const earshot_placement *p, const earshot_choice *choice)
{
    char devices[ES_SAY_FIGURE], reserve[ES_SAY_FIGURE];
    for (size_t i = 0; i < choice->n_repeaters; i++) {
        const earshot_repeater *repeater = &choice->repeater[i];
        const char *to = repeater->reports_to == EARSHOT_NONE ? es_message_text(r->language, ES_SAY_MARK_RECEIVER)
                                                              : spot_words(p, (size_t)repeater->reports_to);
        ES_PUT(r->document, ES_BLOCK_ITEM, 0, ES_SAY_ARRANGED_REPEATER, spot_words(p, repeater->spot),
               es_say_figure(devices, r->language, (double)repeater->n_devices, 0), to,
               es_report_db(r, reserve, repeater->dependable_db));
    }
}

void es_section_arrangement(const es_report *report)
{
    const earshot_placement *p = report->request->placement;
    if (!p || p->n_choices == 0) return;
    const earshot_choice *choice = &p->choice[0];
    ES_PUT(report->document, ES_BLOCK_HEADING, 2, ES_SAY_ARRANGEMENT, "");
    ES_PUT(report->document, ES_BLOCK_PARAGRAPH, 0, choice->proven ? ES_SAY_ARRANGED_PROVEN : ES_SAY_ARRANGED_FOUND,
           "");
    put_repeaters(report, p, choice);
    put_cables(report, choice);
}
