/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For each device that needs a repeater or a wire: a short explanation with its picture. */
#include <math.h>

#include "base/text.h"
#include "present/picture/explanation.h"
#include "present/picture/ladder.h"
#include "present/report/sections.h"

static const double WORTH_A_WORD_DB = 1.0, HEAVY_FIXING_DB = 3.0;

static void add_walls(const es_report *r, const es_subject *s, earshot_text *words)
{
    const es_obstacles *o = &s->obstacles;
    const char *name = es_report_device(r, s->index);
    char length[ES_SAY_FIGURE], figure[ES_SAY_FIGURE];
    earshot_text strongest = {0};
    es_say_length(length, r->language, s->link->loss.distance_m);
    if (o->n == 0)
        ES_SAY(words, r->language, ES_SAY_WHY_CLEAR, name, length);
    else if (o->n == 1)
        ES_SAY(words, r->language, ES_SAY_WHY_WALLS_ONE, name, length);
    else
        ES_SAY(words, r->language, ES_SAY_WHY_WALLS, name, length, es_say_figure(figure, r->language, (double)o->n, 0));
    if (o->n == 0 || o->item[o->strongest].loss_db < WORTH_A_WORD_DB) return;
    es_obstacle_words(s->check->site, o->item[o->strongest].element, r->language, &strongest);
    ES_SAY(words, r->language, ES_SAY_WHY_STRONGEST, strongest.data);
    if (strongest.failed) words->failed = true;
    earshot_text_clear(&strongest);
}

static void add_severity(const es_report *r, const es_subject *s, earshot_text *words)
{
    const earshot_link *link = s->link;
    if (s->device->fixing == EARSHOT_FIXING_METAL && link->mounting_db >= HEAVY_FIXING_DB)
        ES_SAY(words, r->language, ES_SAY_WHY_METAL, "");
    if (link->body_db >= HEAVY_FIXING_DB) ES_SAY(words, r->language, ES_SAY_WHY_HAND, "");
    ES_SAY(words, r->language,
           link->margin_db < 0.0       ? ES_SAY_WHY_NEVER
           : link->dependable_db < 0.0 ? ES_SAY_WHY_SOMETIMES
                                       : ES_SAY_WHY_THIN,
           "");
}

static void add_remedy(const es_report *r, const es_subject *s, earshot_text *words)
{
    const earshot_decision *d = &r->check->device[s->index];
    char hears[ES_SAY_FIGURE], passes[ES_SAY_FIGURE];
    if (d->verdict == EARSHOT_VERDICT_REPEATER) {
        ES_SAY(words, r->language, ES_SAY_WHY_REPEATER, es_report_mount(r, d->mount),
               es_report_db(r, hears, d->to_mount.dependable_db),
               es_report_db(r, passes, r->check->mount[d->mount].dependable_db));
        return;
    }
    if (r->plan->n_mounts) ES_SAY(words, r->language, ES_SAY_WHY_NO_MOUNT, "");
    ES_SAY(words, r->language, d->unwirable ? ES_SAY_WHY_STRANDED : ES_SAY_WHY_WIRE, "");
}

/* What the picture shows, for a person who does not see it. */
static void add_instead(const es_report *r, const es_subject *s, earshot_text *words)
{
    char figure[ES_SAY_FIGURE];
    earshot_text walls = {0};
    for (size_t i = 0; i < s->obstacles.n && i < ES_LADDER_WALLS; i++) {
        if (i > 0) es_text_add(&walls, ", ");
        es_obstacle_words(s->check->site, s->obstacles.item[i].element, r->language, &walls);
    }
    const double missing_db = ceil(s->check->need.margin_db - s->link->dependable_db);
    ES_SAY(words, r->language, ES_SAY_WHY_INSTEAD, es_report_device(r, s->index),
           walls.data ? walls.data : "\xe2\x80\x93", es_say_figure(figure, r->language, missing_db, 0));
    if (walls.failed) words->failed = true;
    earshot_text_clear(&walls);
}

static void clear_explanation(void *explanation)
{
    es_explanation_clear(explanation);
}

static void explain(const es_report *r, size_t device)
{
    es_document *d = r->document;
    es_explanation *e = es_document_take(d, sizeof *e);
    earshot_text instead = {0}, caption = {0};
    if (!e) return;
    const earshot_status status = es_explanation_new(r->check, device, true, e);
    if (status == EARSHOT_OK) es_document_own(d, e, clear_explanation);
    if (status && d->status == EARSHOT_OK) d->status = status;
    if (d->status) return;
    es_explanation_words(e, r->language, &d->scratch);
    es_document_scratch(d, ES_BLOCK_HEADING, 3);
    add_walls(r, &e->subject, &d->scratch);
    add_severity(r, &e->subject, &d->scratch);
    add_remedy(r, &e->subject, &d->scratch);
    es_document_scratch(d, ES_BLOCK_PARAGRAPH, 0);
    add_instead(r, &e->subject, &instead);
    ES_SAY(&caption, r->language, ES_SAY_WHY_CAPTION, es_report_device(r, device));
    if (instead.failed || caption.failed) d->status = EARSHOT_MEMORY;
    es_document_picture(d, (es_picture){es_explanation_compose, e, false}, caption.data, instead.data);
    earshot_text_clear(&caption);
    earshot_text_clear(&instead);
}

static void put_introduction(const es_report *r)
{
    ES_PUT(r->document, ES_BLOCK_HEADING, 2, ES_SAY_WHY, "");
    ES_PUT(r->document, ES_BLOCK_PARAGRAPH, 0, ES_SAY_WHY_INTRO, "");
}

void es_section_why(const es_report *report)
{
    char figure[ES_SAY_FIGURE];
    size_t n = 0;
    for (size_t i = 0; i < report->check->n_devices; i++) {
        const earshot_link *link = &report->check->device[i].link;
        if (es_report_is_settled(report, i) || (!link->out.used && !link->back.used)) continue;
        if (n == 0) put_introduction(report);
        if (n < EARSHOT_REPORT_PICTURES) explain(report, i);
        n++;
    }
    if (n > EARSHOT_REPORT_PICTURES)
        ES_PUT(report->document, ES_BLOCK_PARAGRAPH, 0, ES_SAY_WHY_MORE,
               es_say_figure(figure, report->language, (double)(n - EARSHOT_REPORT_PICTURES), 0));
}
