/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The numbers behind it all, for the next engineer. */
#include <math.h>
#include <stdlib.h>

#include "base/text.h"
#include "earshot/version.h"
#include "present/obstacles.h"
#include "present/picture/structure.h"
#include "present/report/sections.h"

static void put_head(const es_report *r, const es_message *head, size_t n)
{
    for (size_t i = 0; i < n; i++) es_document_cell(r->document, es_message_text(r->language, head[i]));
}

/* ---- links ---- */

static void put_between(const es_report *r, size_t device)
{
    es_document *d = r->document;
    es_obstacles found;
    const earshot_status status =
        es_obstacles_find(r->check->site, earshot_site_device_at(r->check->site, device),
                          earshot_site_receiver_at(r->check->site, r->check->receiver), r->check->frequency_hz, &found);
    if (status && d->status == EARSHOT_OK) d->status = status;
    for (size_t i = 0; i < found.n; i++) {
        const size_t material = earshot_site_element(r->check->site, found.item[i].element).material;
        es_text_format(&d->scratch, "%s%s", i ? ", " : "", r->plan->material[material].name);
    }
    if (found.n == 0) es_text_add(&d->scratch, "\xe2\x80\x93");
    es_document_cell_scratch(d);
    es_obstacles_clear(&found);
}

static void put_links(const es_report *r)
{
    static const es_message HEAD[] = {ES_SAY_COLUMN_DEVICE,     ES_SAY_COLUMN_SHORT_NUMBER,  ES_SAY_COLUMN_DISTANCE,
                                      ES_SAY_COLUMN_LOSS,       ES_SAY_COLUMN_MARGIN,        ES_SAY_COLUMN_ALLOWANCE,
                                      ES_SAY_COLUMN_DEPENDABLE, ES_SAY_COLUMN_SHORT_VERDICT, ES_SAY_COLUMN_BETWEEN};
    enum { COLUMNS = sizeof HEAD / sizeof HEAD[0] };
    es_document *d = r->document;
    es_block *table = es_document_table(d, COLUMNS, es_message_text(r->language, ES_SAY_APPENDIX_LINKS));
    if (!table) return;
    table->small = true;
    table->right = 0x7e;
    put_head(r, HEAD, COLUMNS);
    for (size_t i = 0; i < r->check->n_devices; i++) {
        const earshot_decision *decision = &r->check->device[i];
        const earshot_link *link = &decision->link;
        const bool judged = link->out.used || link->back.used;
        es_document_cell(d, r->plan->device[i].name);
        es_document_cell_figure(d, (double)i + 1.0, 0);
        es_document_cell_figure(d, judged ? link->loss.distance_m : NAN, 1);
        es_document_cell_figure(d, judged ? link->loss.loss_db : NAN, 1);
        es_document_cell_figure(d, judged ? link->margin_db : NAN, 1);
        es_document_cell_figure(d, judged ? link->allowance_db : NAN, 1);
        es_document_cell_figure(d, judged ? link->dependable_db : NAN, 1);
        es_document_cell(d, es_say_verdict(r->language, decision->verdict));
        put_between(r, i);
    }
}

/* ---- other checks ---- */

static void put_check_name(const es_report *r, const earshot_check *check)
{
    es_document *d = r->document;
    char figure[ES_SAY_FIGURE];
    earshot_text state = {0};
    const char *scene = earshot_site_scene(check->site);
    ES_SAY(&state, r->language, ES_SAY_OTHER_SCENE, scene ? scene : es_message_text(r->language, ES_SAY_AS_DRAWN));
    ES_SAY(&d->scratch, r->language, ES_SAY_OTHER_CHECK,
           es_say_figure(figure, r->language, check->frequency_hz / 1e6, 2), state.data);
    if (state.failed) d->scratch.failed = true;
    es_document_cell_scratch(d);
    earshot_text_clear(&state);
}

enum { MOST_OTHERS = 7 }; /* that a page is wide enough for */

static void put_others(const es_report *r)
{
    const size_t all = r->request->n_checks, n = all > MOST_OTHERS ? MOST_OTHERS : all;
    es_document *d = r->document;
    if (all < 2) return;
    es_block *table = es_document_table(d, n + 1, es_message_text(r->language, ES_SAY_APPENDIX_OTHERS));
    if (!table) return;
    table->small = true;
    table->right = ~1u;
    es_document_cell(d, es_message_text(r->language, ES_SAY_COLUMN_DEVICE));
    for (size_t k = 0; k < n; k++) put_check_name(r, &r->request->check[k]);
    for (size_t i = 0; i < r->check->n_devices; i++) {
        es_document_cell(d, r->plan->device[i].name);
        for (size_t k = 0; k < n; k++) {
            const earshot_link *link = &r->request->check[k].device[i].link;
            es_document_cell_figure(d, link->out.used || link->back.used ? link->dependable_db : NAN, 1);
        }
    }
}

/* ---- materials and radios ---- */

static void put_material(const es_report *r, size_t material)
{
    static const es_message BASIS[] = {ES_SAY_BASIS_UNSTATED, ES_SAY_BASIS_MEASURED,     ES_SAY_BASIS_PUBLISHED,
                                       ES_SAY_BASIS_COMPUTED, ES_SAY_BASIS_EXTRAPOLATED, ES_SAY_BASIS_JUDGEMENT};
    es_document *d = r->document;
    earshot_basis basis = EARSHOT_BASIS_UNSTATED;
    const double loss_db = earshot_material_loss_db(r->check->site, material, r->check->frequency_hz, &basis);
    es_text_format(&d->scratch, "%s (%s)", es_say_material(r->language, &r->plan->material[material]),
                   r->plan->material[material].name);
    es_document_cell_scratch(d);
    es_document_cell_figure(d, loss_db, 1);
    es_document_cell_figure(d, earshot_material_spread_db(r->check->site, material), 1);
    es_document_cell(d, es_message_text(r->language, BASIS[basis]));
}

static void put_materials(const es_report *r)
{
    static const es_message HEAD[] = {ES_SAY_COLUMN_MATERIAL, ES_SAY_COLUMN_MATERIAL_LOSS, ES_SAY_COLUMN_SPREAD,
                                      ES_SAY_COLUMN_BASIS};
    es_document *d = r->document;
    const size_t n = r->plan->n_materials;
    bool *used = calloc(n + 1, sizeof *used);
    es_block *table = es_document_table(d, 4, es_message_text(r->language, ES_SAY_APPENDIX_MATERIALS));
    if (!used) d->status = EARSHOT_MEMORY;
    if (used && table) {
        table->small = true;
        table->right = 0x6;
        for (size_t i = 0; i < earshot_site_elements(r->check->site); i++)
            used[earshot_site_element(r->check->site, i).material] = true;
        put_head(r, HEAD, 4);
        for (size_t i = 0; i < n; i++)
            if (used[i]) put_material(r, i);
    }
    free(used);
}

static void put_radios(const es_report *r)
{
    static const es_message HEAD[] = {ES_SAY_COLUMN_RADIO, ES_SAY_COLUMN_ERP, ES_SAY_COLUMN_GAIN,
                                      ES_SAY_COLUMN_SENSITIVITY};
    es_document *d = r->document;
    es_block *table = es_document_table(d, 4, es_message_text(r->language, ES_SAY_APPENDIX_RADIOS));
    if (!table) return;
    table->small = true;
    table->right = 0xe;
    put_head(r, HEAD, 4);
    for (size_t i = 0; i < r->plan->n_radios; i++) {
        const earshot_radio *radio = &r->plan->radio[i];
        if (earshot_site_radio(r->check->site, radio->name, r->check->frequency_hz) != radio) continue;
        es_text_format(&d->scratch, "%s%s%s%s", radio->label ? radio->label : radio->name, radio->label ? " (" : "",
                       radio->label ? radio->name : "", radio->label ? ")" : "");
        es_document_cell_scratch(d);
        es_document_cell_figure(d, radio->erp_dbm, 1);
        es_document_cell_figure(d, radio->gain_dbi, 1);
        es_document_cell_figure(d, radio->sensitivity_dbm, 1);
    }
}

void es_section_appendix(const es_report *report)
{
    char band[ES_SAY_FIGURE], margin[ES_SAY_FIGURE], confidence[ES_SAY_FIGURE];
    const earshot_check *c = report->check;
    es_document_page(report->document);
    ES_PUT(report->document, ES_BLOCK_HEADING, 2, ES_SAY_APPENDIX, "");
    ES_PUT(report->document, ES_BLOCK_PARAGRAPH, 0, ES_SAY_APPENDIX_CONDITIONS,
           es_say_figure(band, report->language, c->frequency_hz / 1e6, 2), earshot_model_name(c->model),
           es_report_figure(report, margin, c->need.margin_db),
           es_report_figure(report, confidence, c->need.confidence * 100.0), report->plan->receiver[c->receiver].name,
           EARSHOT_VERSION);
    if (c->n_devices) put_links(report);
    put_others(report);
    put_materials(report);
    put_radios(report);
}
