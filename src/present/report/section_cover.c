/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "base/text.h"
#include "present/picture/storey.h"
#include "present/report/sections.h"

static void fact(const es_report *r, es_message name, const char *value)
{
    if (!value || !*value) return;
    es_document_cell(r->document, es_message_text(r->language, name));
    es_document_cell(r->document, value);
}

/* The words gathered in the scratch text. */
static void fact_of_scratch(const es_report *r, es_message name)
{
    es_document *d = r->document;
    if (d->scratch.failed) d->status = EARSHOT_MEMORY;
    const char *value = d->scratch.size ? es_document_copy(d, d->scratch.data) : NULL;
    d->scratch.size = 0;
    fact(r, name, value);
}

static void add_receiver(const es_report *r)
{
    const earshot_receiver *receiver = &r->plan->receiver[r->check->receiver];
    ES_SAY(&r->document->scratch, r->language, ES_SAY_FACT_RECEIVER_VALUE,
           receiver->label ? receiver->label : receiver->name, es_storey_words(r->plan, receiver->storey));
    fact_of_scratch(r, ES_SAY_FACT_RECEIVER);
}

static void add_devices(const es_report *r)
{
    char figure[ES_SAY_FIGURE];
    fact(r, ES_SAY_FACT_DEVICES, es_say_figure(figure, r->language, (double)r->check->n_devices, 0));
}

static void add_storeys(const es_report *r)
{
    for (unsigned i = 0; i < r->plan->n_storeys; i++)
        es_report_list(r, &r->document->scratch, es_storey_words(r->plan, i), i, r->plan->n_storeys);
    fact_of_scratch(r, ES_SAY_FACT_STOREYS);
}

/* The walls of all storeys together. */
static void add_size(const es_report *r)
{
    earshot_point low = {INFINITY, INFINITY}, high = {-INFINITY, -INFINITY};
    char width[ES_SAY_FIGURE], depth[ES_SAY_FIGURE];
    for (size_t i = 0; i < r->plan->n_walls; i++) {
        for (size_t k = 0; k < r->plan->wall[i].n_points; k++) {
            const earshot_point p = r->plan->wall[i].point[k];
            low = (earshot_point){fmin(low.x_m, p.x_m), fmin(low.y_m, p.y_m)};
            high = (earshot_point){fmax(high.x_m, p.x_m), fmax(high.y_m, p.y_m)};
        }
    }
    if (!(high.x_m >= low.x_m)) return;
    ES_SAY(&r->document->scratch, r->language, ES_SAY_FACT_SIZE_VALUE,
           es_say_figure(width, r->language, high.x_m - low.x_m, 1),
           es_say_figure(depth, r->language, high.y_m - low.y_m, 1));
    fact_of_scratch(r, ES_SAY_FACT_SIZE);
}

static void add_band(const es_report *r)
{
    char figure[ES_SAY_FIGURE];
    ES_SAY(&r->document->scratch, r->language, ES_SAY_FACT_BAND_VALUE,
           es_say_figure(figure, r->language, r->check->frequency_hz / 1e6, 0));
    fact_of_scratch(r, ES_SAY_FACT_BAND);
}

void es_section_cover(const es_report *report)
{
    const char *unnamed = es_message_text(report->language, ES_SAY_UNNAMED_SITE);
    const char *site = report->plan->site ? report->plan->site : unnamed;
    ES_PUT(report->document, ES_BLOCK_HEADING, 1, ES_SAY_REPORT_TITLE, site);
    es_block *table = es_document_table(report->document, 2, es_message_text(report->language, ES_SAY_FACTS));
    if (!table) return;
    table->facts = true;
    fact(report, ES_SAY_FACT_SITE, site);
    fact(report, ES_SAY_FACT_DATE, report->request->date);
    fact(report, ES_SAY_FACT_FOR, report->request->prepared_for);
    fact(report, ES_SAY_FACT_BY, report->request->prepared_by);
    add_receiver(report);
    add_devices(report);
    add_storeys(report);
    add_size(report);
    add_band(report);
    fact(report, ES_SAY_FACT_SCENE, earshot_site_scene(report->check->site));
}
