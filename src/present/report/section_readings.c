/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings taken on site, and how well they agree with what was foretold. */
#include <math.h>

#include "base/text.h"
#include "present/report/sections.h"

enum { MOST_ROWS = 60 }; /* further readings are counted, not listed */

static void put_place(const es_report *r, const earshot_reading *reading)
{
    es_document *d = r->document;
    char x[ES_SAY_FIGURE], y[ES_SAY_FIGURE];
    if (reading->device != EARSHOT_NONE) {
        es_document_cell(d, es_report_device(r, (size_t)reading->device));
        return;
    }
    ES_SAY(&d->scratch, r->language, ES_SAY_READING_AT, es_say_figure(x, r->language, reading->at.x_m, 1),
           es_say_figure(y, r->language, reading->at.y_m, 1));
    es_document_cell_scratch(d);
}

static void put_day(const es_report *r, const earshot_reading *reading)
{
    char day[EARSHOT_DATE] = "\xe2\x80\x93";
    if (reading->day != EARSHOT_NO_DAY) earshot_day_text(reading->day, day);
    es_document_cell(r->document, day);
}

/* Readings that were only heard or not have no level. */
static void put_levels(const es_report *r, const earshot_reading *reading, const earshot_reading_fit *fit)
{
    es_document *d = r->document;
    const bool level = reading->unit != EARSHOT_LEVEL_NONE;
    if (level)
        es_document_cell_figure(d, fit->measured_dbm, 0);
    else
        es_document_cell(d, es_message_text(r->language, reading->heard ? ES_SAY_READING_HEARD : ES_SAY_READING_NOT));
    es_document_cell_figure(d, fit->predicted_dbm, 0);
    es_document_cell_figure(d, fit->fitted_dbm, 0);
}

static void put_agreement(const es_report *r, const earshot_reading_fit *fit)
{
    static const es_message FLAG[] = {ES_SAY_READING_FITS, ES_SAY_READING_WEAKER, ES_SAY_READING_STRONGER};
    es_document_cell(r->document, es_message_text(r->language, FLAG[fit->flag]));
}

static void put_table(const es_report *r, const earshot_calibration *c)
{
    static const es_message HEAD[] = {ES_SAY_COLUMN_PLACE,    ES_SAY_COLUMN_DAY,   ES_SAY_COLUMN_READ,
                                      ES_SAY_COLUMN_FORETOLD, ES_SAY_COLUMN_AFTER, ES_SAY_COLUMN_AGREEMENT};
    enum { COLUMNS = sizeof HEAD / sizeof HEAD[0] };
    es_block *table = es_document_table(r->document, COLUMNS, es_message_text(r->language, ES_SAY_READINGS_TABLE));
    if (!table) return;
    table->right = 0x1c;
    for (size_t i = 0; i < COLUMNS; i++) es_document_cell(r->document, es_message_text(r->language, HEAD[i]));
    for (size_t i = 0; i < c->readings->n && i < MOST_ROWS; i++) {
        put_place(r, &c->readings->reading[i]);
        put_day(r, &c->readings->reading[i]);
        put_levels(r, &c->readings->reading[i], &c->reading[i]);
        put_agreement(r, &c->reading[i]);
    }
}

void es_section_readings(const es_report *report)
{
    const earshot_calibration *c = report->request->calibration;
    char readings[ES_SAY_FIGURE], places[ES_SAY_FIGURE], before[ES_SAY_FIGURE], after[ES_SAY_FIGURE];
    size_t wild = 0;
    if (!c) return;
    ES_PUT(report->document, ES_BLOCK_HEADING, 2, ES_SAY_READINGS, "");
    ES_SAY(&report->document->scratch, report->language, ES_SAY_READINGS_COUNT,
           es_say_figure(readings, report->language, (double)c->readings->n, 0),
           es_say_figure(places, report->language, (double)c->n_places, 0));
    if (isfinite(c->rms_before_db))
        ES_SAY(&report->document->scratch, report->language, ES_SAY_READINGS_AGREE,
               es_say_figure(before, report->language, c->rms_before_db, 0),
               es_say_figure(after, report->language, c->rms_after_db, 0));
    for (size_t i = 0; i < c->readings->n; i++) wild += c->reading[i].flag != EARSHOT_READING_FITS;
    if (wild)
        ES_SAY(&report->document->scratch, report->language, ES_SAY_READINGS_WILD,
               es_say_figure(readings, report->language, (double)wild, 0));
    es_document_scratch(report->document, ES_BLOCK_PARAGRAPH, 0);
    put_table(report, c);
}
