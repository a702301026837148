/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/picture/storey.h"
#include "present/report/sections.h"

static void put_verdict(const es_report *r, size_t device)
{
    const earshot_decision *decision = &r->check->device[device];
    es_document *d = r->document;
    if (r->plan->device[device].wiring == EARSHOT_WIRING_MUST) {
        es_document_cell(d, es_message_text(r->language, ES_SAY_CELL_WIRED));
    } else if (decision->verdict == EARSHOT_VERDICT_REPEATER) {
        ES_SAY(&d->scratch, r->language, ES_SAY_CELL_REPEATER, es_report_mount(r, decision->mount));
        es_document_cell_scratch(d);
    } else if (decision->verdict == EARSHOT_VERDICT_WIRE) {
        es_document_cell(d,
                         es_message_text(r->language, decision->unwirable ? ES_SAY_CELL_STRANDED : ES_SAY_CELL_WIRE));
    } else {
        es_document_cell(d, es_message_text(r->language, ES_SAY_CELL_DIRECT));
    }
}

static void put_reserve(const es_report *r, size_t device)
{
    const earshot_link *link = &r->check->device[device].link;
    char figure[ES_SAY_FIGURE];
    es_document *d = r->document;
    if (!link->out.used && !link->back.used) {
        es_document_cell(d, es_message_text(r->language, ES_SAY_RESERVE_WIRED));
        return;
    }
    if (link->dependable_db < 0.0) {
        es_document_cell(d, es_message_text(r->language, ES_SAY_RESERVE_NONE));
        return;
    }
    ES_SAY(&d->scratch, r->language, ES_SAY_RESERVE, es_report_db(r, figure, link->dependable_db));
    es_document_cell_scratch(d);
}

void es_section_devices(const es_report *report)
{
    static const es_message HEAD[] = {ES_SAY_COLUMN_DEVICE, ES_SAY_COLUMN_SHORT_NUMBER, ES_SAY_COLUMN_STOREY,
                                      ES_SAY_COLUMN_VERDICT, ES_SAY_COLUMN_RESERVE};
    enum { COLUMNS = sizeof HEAD / sizeof HEAD[0] };
    es_document *d = report->document;
    const char *caption = es_message_text(report->language, ES_SAY_DEVICES);
    char figure[ES_SAY_FIGURE];
    if (report->check->n_devices == 0) return;
    ES_PUT(d, ES_BLOCK_HEADING, 2, ES_SAY_DEVICE_TABLE, "");
    ES_PUT(d, ES_BLOCK_PARAGRAPH, 0, ES_SAY_DEVICE_TABLE_INTRO,
           es_report_db(report, figure, report->check->need.margin_db));
    es_block *table = es_document_table(d, COLUMNS, caption);
    if (!table) return;
    table->right = 1u << (COLUMNS - 1) | 2u;
    for (size_t i = 0; i < COLUMNS; i++) es_document_cell(d, es_message_text(report->language, HEAD[i]));
    for (size_t i = 0; i < report->check->n_devices; i++) {
        const earshot_device *device = &report->plan->device[i];
        es_document_cell(d, device->label ? device->label : es_say_kind(report->language, device->kind));
        es_document_cell_figure(d, (double)i + 1.0, 0);
        es_document_cell(d, es_storey_words(report->plan, device->storey));
        put_verdict(report, i);
        put_reserve(report, i);
    }
}
