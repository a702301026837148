/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One link, term by term. The terms are those that the link was judged on: nothing is computed again but the loss of
 * each obstacle by itself, and what remains is printed as a term of its own, so that the ladder always adds up. */
#include "present/explain.h"

#include <math.h>

#include "base/number.h"
#include "base/text.h"
#include "present/table.h"
#include "present/words.h"

static const double WORTH_A_LINE_DB = 0.005; /* half of the last decimal printed */

typedef struct ladder {
    es_table *table;
    double level_dbm; /* so far */
} ladder;

/* ---- rows ---- */

/* What, where, how far, this term, the level after it; NAN leaves a place empty. */
static void put_row(ladder *l, const char *what, const char *where, double at_m, double term_db, double level_dbm)
{
    char figure[ES_FIGURE];
    const double value[] = {at_m, term_db, level_dbm};
    const int decimals[] = {1, 2, 2};
    es_table_put(l->table, "%s", what);
    es_table_put(l->table, "%s", where);
    for (size_t i = 0; i < 3; i++)
        es_table_put(l->table, "%s%s", i == 1 && value[i] > 0.0 ? "+" : "",
                     isnan(value[i]) ? "" : es_figure(figure, value[i], decimals[i]));
}

static void put_term(ladder *l, const char *what, const char *where, double at_m, double term_db)
{
    l->level_dbm += term_db;
    put_row(l, what, where, at_m, term_db, l->level_dbm);
}

/* A term that is left out where it is nothing. */
static void put_if_any(ladder *l, const char *what, double term_db)
{
    if (fabs(term_db) >= WORTH_A_LINE_DB) put_term(l, what, "", NAN, term_db);
}

static const char *fixing_word(earshot_fixing fixing)
{
    switch (fixing) {
    case EARSHOT_FIXING_UNSTATED: break;
    case EARSHOT_FIXING_FREE: return "nothing";
    case EARSHOT_FIXING_PLASTER: return "plaster";
    case EARSHOT_FIXING_WOOD: return "wood";
    case EARSHOT_FIXING_MASONRY: return "masonry";
    case EARSHOT_FIXING_METAL: return "metal";
    }
    return "(not stated)";
}

static void put_mounting(ladder *l, const es_subject *s)
{
    char what[80];
    const earshot_receiver *receiver = &earshot_site_plan(s->check->site)->receiver[s->check->receiver];
    es_format(what, sizeof what, "fixed to %s; receiver to %s", fixing_word(s->device->fixing),
              fixing_word(receiver->fixing));
    put_if_any(l, what, -s->link->mounting_db);
}

static void put_obstacle(ladder *l, const es_subject *s, const es_obstacle *o)
{
    const earshot_plan *plan = earshot_site_plan(s->check->site);
    const earshot_element e = earshot_site_element(s->check->site, o->element);
    const char *label = es_element_label(s->check->site, o->element);
    earshot_text what = {0};
    es_text_format(&what, "%s %s", es_element_kind_word(e.kind), plan->material[e.material].name);
    if (label) es_text_format(&what, " \"%s\"", label);
    if (what.failed) es_table_fail(l->table);
    put_term(l, what.failed ? "" : what.data, plan->storey[e.storey].name, o->distance_m, -o->loss_db);
    earshot_text_clear(&what);
}

/* What the obstacles by themselves do not account for. Walls met at a slant take more than straight on, and ways of
 * like strength may cancel each other, so that it can be a loss as well. */
static const char *remainder_words(const es_subject *s, double rest_db)
{
    if (s->check->model == EARSHOT_MODEL_RAYS)
        return rest_db < 0.0 ? "slanting walls, ways that cancel out" : "by other ways: reflected, around edges";
    if (s->link->pattern_db == 0.0) return "floors together lose less than each alone";
    if (s->obstacles.n_kind[EARSHOT_ELEMENT_SLAB] < 2) return "antennas not in their best directions";
    return "antenna directions; floors together";
}

static void put_path(ladder *l, const es_subject *s)
{
    const earshot_loss *loss = &s->link->loss;
    double rest_db = -(loss->loss_db - loss->free_space_db) - s->link->pattern_db;
    put_term(l, "distance alone (free space)", "", loss->distance_m, -loss->free_space_db);
    for (size_t i = 0; i < s->obstacles.n; i++) {
        put_obstacle(l, s, &s->obstacles.item[i]);
        rest_db += s->obstacles.item[i].loss_db;
    }
    put_if_any(l, remainder_words(s, rest_db), rest_db);
}

/* ---- one direction ---- */

static void put_level(ladder *l, const es_subject *s, const earshot_direction *d)
{
    put_row(l, "sent (ERP)", "", NAN, NAN, d->erp_dbm);
    l->level_dbm = d->erp_dbm;
    put_term(l, "as EIRP: a half-wave dipole has", "", NAN, d->eirp_dbm - d->erp_dbm);
    put_mounting(l, s);
    put_if_any(l, "hand and body", -s->link->body_db);
    put_path(l, s);
    put_term(l, "gain of the receiving antenna", "", NAN, d->gain_dbi);
    put_row(l, "arrives, on average", "", NAN, NAN, d->level_dbm);
}

static const char *threshold_words(const es_subject *s, const earshot_direction *d, bool outward)
{
    const earshot_plan *plan = earshot_site_plan(s->check->site);
    const char *name = outward ? plan->receiver[s->check->receiver].radio : s->device->radio;
    const earshot_radio *radio = name ? earshot_site_radio(s->check->site, name, s->check->frequency_hz) : NULL;
    const bool plain = !radio || !(radio->sensitivity_dbm < d->threshold_dbm);
    return plain ? "threshold: the sensitivity" : "threshold: noise plus the S/N it needs";
}

static void put_margins(ladder *l, const es_subject *s, const earshot_direction *d, bool outward)
{
    const earshot_link *link = s->link;
    const earshot_need need = s->check->need;
    char what[80];
    put_row(l, threshold_words(s, d, outward), "", NAN, NAN, d->threshold_dbm);
    put_row(l, "margin", "", NAN, d->margin_db, NAN);
    if (d->margin_db != link->margin_db)
        put_row(l, "the other way is worse (below)", "", NAN, link->margin_db - d->margin_db, NAN);
    es_format(what, sizeof what, "allowance at %.4g %% confidence", need.confidence * 100.0);
    put_row(l, what, "", NAN, -link->allowance_db, NAN);
    put_row(l, "dependable margin", "", NAN, link->dependable_db, NAN);
    put_row(l, "needed", "", NAN, -need.margin_db, NAN);
    put_row(l, link->meets ? "in hand" : "missing", "", NAN, link->dependable_db - need.margin_db, NAN);
}

static void add_allowance(const es_subject *s, unsigned width, earshot_text *text)
{
    const earshot_link *link = s->link;
    earshot_text words = {0};
    es_text_format(&words,
                   "The allowance is for fading, %.1f dB, and for what is not known: standard deviation %.1f dB, of "
                   "which materials %.1f dB and the model %.1f dB.",
                   link->fading_db, link->uncertainty_db, link->loss.material_sigma_db, link->loss.model_sigma_db);
    if (link->out.noise_extrapolated || link->back.noise_extrapolated)
        es_text_add(&words, " The noise is taken beyond the frequencies for which its source was made.");
    es_wrap_made("", &words, width, text);
}

static void add_other_way(const es_subject *s, unsigned width, earshot_text *text)
{
    const earshot_direction *back = &s->link->back;
    const bool worse = back->margin_db < s->link->out.margin_db;
    earshot_text words = {0};
    if (!s->link->out.used || !back->used) return;
    es_text_format(&words,
                   "The other way, from the receiver to the device: sent %.2f dBm ERP, antenna %.2f dBi, arrives %.2f "
                   "dBm, threshold %.2f dBm, margin %.2f dB. %s",
                   back->erp_dbm, back->gain_dbi, back->level_dbm, back->threshold_dbm, back->margin_db,
                   worse ? "This way is the worse one and decides." : "It is not worse than the way above.");
    es_wrap_made("", &words, width, text);
}

void es_explain_ladder(const es_subject *subject, unsigned width, earshot_text *text)
{
    static const es_column COLUMN[] = {{.head = "", .flexible = true, .comfort = 30},
                                       {.head = "storey", .flexible = true, .comfort = 8},
                                       {.head = "m", .right = true},
                                       {.head = "dB", .right = true},
                                       {.head = "dBm", .right = true}};
    const bool outward = subject->link->out.used;
    const earshot_direction *d = outward ? &subject->link->out : &subject->link->back;
    ladder l = {.table = es_table_new(COLUMN, sizeof COLUMN / sizeof COLUMN[0])};
    put_level(&l, subject, d);
    put_margins(&l, subject, d, outward);
    es_text_format(text, "From the %s\n", outward ? "device to the receiver" : "receiver to the device");
    es_table_write(l.table, width, text);
    es_table_free(l.table);
    es_text_add_char(text, '\n');
    add_allowance(subject, width, text);
    add_other_way(subject, width, text);
}

/* ---- the whole ---- */

static void add_heading(const es_subject *s, unsigned width, earshot_text *text)
{
    const earshot_plan *plan = earshot_site_plan(s->check->site);
    const earshot_receiver *receiver = &plan->receiver[s->check->receiver];
    earshot_text words = {0};
    es_name_words(s->device->name, s->device->label, &words);
    es_text_format(&words, " (%s) and ", earshot_kind_name(s->device->kind));
    es_name_words(receiver->name, receiver->label, &words);
    es_wrap_made("", &words, width, text);
    es_conditions_words(s->check, text);
    es_text_add(text, "\n\n");
}

static earshot_status explain(es_subject *s, const earshot_look *look, earshot_text *text)
{
    const earshot_vec3 device = earshot_site_device_at(s->check->site, s->index);
    const earshot_vec3 receiver = earshot_site_receiver_at(s->check->site, s->check->receiver);
    const bool outward = s->link->out.used;
    earshot_status status = es_obstacles_find(s->check->site, outward ? device : receiver, outward ? receiver : device,
                                              s->check->frequency_hz, &s->obstacles);
    if (status) return status;
    es_explain_ladder(s, look->width, text);
    es_text_add_char(text, '\n');
    status = es_explain_paths(s, look->width, text);
    if (!status) status = es_explain_advice(s, look->width, text);
    es_obstacles_clear(&s->obstacles);
    return status;
}

earshot_status earshot_present_explanation(const earshot_check *check, size_t device, const earshot_look *look,
                                           earshot_text *text)
{
    const earshot_plan *plan = earshot_site_plan(check->site);
    if (device >= check->n_devices) return EARSHOT_ARGUMENT;
    es_subject s = {check, &plan->device[device], device, &check->device[device].link, {0}};
    add_heading(&s, look->width, text);
    if (s.device->wiring == EARSHOT_WIRING_MUST)
        es_wrap("", "The plan wires this device (link=wire); it is not judged by radio.", look->width, text);
    if (!s.link->out.used && !s.link->back.used) return text->failed ? EARSHOT_MEMORY : EARSHOT_OK;
    const earshot_status status = explain(&s, look, text);
    return status == EARSHOT_OK && text->failed ? EARSHOT_MEMORY : status;
}
