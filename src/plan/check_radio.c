/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Radios: whether each can do what the thing that carries it needs, in every band of the plan. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "plan/check.h"

typedef enum duty { DUTY_SEND = 1, DUTY_RECEIVE = 2, DUTY_EITHER = 4 } duty;

/* One use of a radio. */
typedef struct use {
    const char *noun, *owner, *radio;
    earshot_place place;
    unsigned duties;
} use;

static bool has_noise_terms(const earshot_radio *radio)
{
    return !isnan(radio->noise_figure_db) && !isnan(radio->bandwidth_hz) && !isnan(radio->snr_db);
}

static bool can_send(const earshot_radio *radio)
{
    return !isnan(radio->erp_dbm);
}

/* Noise terms only raise the threshold that sensitivity= states. */
static bool can_receive(const earshot_radio *radio)
{
    return !isnan(radio->sensitivity_dbm);
}

static void check_noise_terms(es_checker *checker, const earshot_radio *radio)
{
    const bool some = !isnan(radio->noise_figure_db) || !isnan(radio->bandwidth_hz) || !isnan(radio->snr_db) ||
                      radio->noise != EARSHOT_NOISE_NONE;
    if (!some || has_noise_terms(radio)) return;
    es_hint(es_invalid(checker->reader, es_positional_place(checker->reader, radio->place, 0),
                       "radio '%s' states its noise only in part", radio->name),
            "noise is reckoned from figure=, bandwidth= and snr= together; noise= adds what comes from outside");
}

static void check_two_way(es_checker *checker, const earshot_radio *radio)
{
    if (!radio->two_way || (can_send(radio) && can_receive(radio))) return;
    es_hint(es_invalid(checker->reader, es_key_place(checker->reader, radio->place, "twoway"),
                       "radio '%s' is twoway but %s", radio->name,
                       can_send(radio) ? "states no sensitivity" : "states no erp"),
            "a twoway radio needs erp= and sensitivity=");
}

static void no_variant(es_checker *checker, const use *u, double hz)
{
    es_hint(es_invalid(checker->reader, es_key_place(checker->reader, u->place, "radio"),
                       "radio '%s' of %s '%s' is not made for %.6g MHz", u->radio, u->noun, u->owner, hz / 1e6),
            "a radio of that name with band=%.6gMHz, or one without band=, is needed", hz / 1e6);
}

static void cannot(es_checker *checker, const use *u, const earshot_radio *radio, const char *what, const char *hint)
{
    es_hint(es_invalid(checker->reader, es_key_place(checker->reader, u->place, "radio"), "radio '%s' of %s '%s' %s",
                       radio->name, u->noun, u->owner, what),
            "%s", hint);
}

static void check_duties(es_checker *checker, const use *u, const earshot_radio *radio)
{
    if (!can_send(radio) && !can_receive(radio)) {
        cannot(checker, u, radio, "neither sends nor receives", "state erp= to send, sensitivity= to receive");
    } else if (u->duties & DUTY_SEND && !can_send(radio)) {
        cannot(checker, u, radio, "does not send", "state its erp=");
    } else if (u->duties & DUTY_RECEIVE && !can_receive(radio)) {
        cannot(checker, u, radio, "does not receive", "state its sensitivity=");
    }
}

/* What was said of a radio is not said again for each device that has it: said[radio] holds the duties checked. */
static void check_use(es_checker *checker, const use *u, unsigned char *said)
{
    const earshot_plan *plan = checker->plan;
    const es_named *named = es_names_find(&checker->reader->names, ES_SPACE_RADIO, u->radio, NULL);
    if (!named || named->item == ES_BROKEN || es_is_broken(checker, ES_LIST_RADIO)) return;
    for (size_t i = 0; i < plan->n_bands; i++) {
        const earshot_radio *radio = es_radio_variant(checker, u->radio, plan->band_hz[i]);
        unsigned char *before = &said[radio ? (size_t)(radio - plan->radio) : named->item];
        const unsigned char now = (unsigned char)(radio ? u->duties : 1u << (4 + (i > 3 ? 3 : i)));
        if ((*before & now) == now) continue;
        *before |= now;
        if (radio)
            check_duties(checker, u, radio);
        else
            no_variant(checker, u, plan->band_hz[i]);
    }
}

/* A sounder or output must hear the panel; one that only sends is judged the wrong way round. */
static bool must_listen(earshot_kind kind)
{
    return kind == EARSHOT_KIND_SOUNDER || kind == EARSHOT_KIND_OUTPUT;
}

static void check_device(es_checker *checker, const earshot_device *d, unsigned char *said)
{
    es_reader *reader = checker->reader;
    if (d->wiring == EARSHOT_WIRING_MUST && earshot_kind_is_handheld(d->kind)) {
        es_hint(
            es_invalid(reader, es_key_place(reader, d->place, "link"), "'%s' is carried in the hand: no wire", d->name),
            "leave link=wire out");
    }
    if (d->radio) {
        const use u = {"device", d->name, d->radio, d->place, must_listen(d->kind) ? DUTY_EITHER : DUTY_SEND};
        check_use(checker, &u, said);
    } else if (d->wiring != EARSHOT_WIRING_MUST) {
        es_hint(es_invalid(reader, es_positional_place(reader, d->place, 0), "device '%s' has no radio", d->name),
                "state radio=NAME, or link=wire for a device that is wired in any case");
    }
}

static bool same_radio_kinds(const earshot_capacity *a, const earshot_capacity *b)
{
    return a->kinds & b->kinds && strcmp(a->radio, b->radio) == 0;
}

static unsigned lowest_kind(unsigned kinds)
{
    unsigned kind = 0;
    while (!(kinds >> kind & 1u)) kind++;
    return kind;
}

/* Two entries of one radio for one kind. */
static void check_capacity(es_checker *checker, size_t i)
{
    const earshot_capacity *c = &checker->plan->capacity[i];
    for (size_t j = 0; j < i; j++) {
        const earshot_capacity *before = &checker->plan->capacity[j];
        if (!same_radio_kinds(c, before)) continue;
        const char *kind = earshot_kind_name((earshot_kind)lowest_kind(c->kinds & before->kinds));
        es_hint(es_invalid(checker->reader, c->place, "a second capacity of '%s' for %s; the first stands in line %u",
                           c->radio, kind, before->place.line),
                "a kind counts in one entry only");
        return;
    }
}

static void check_receivers(es_checker *checker, unsigned char *said)
{
    const earshot_plan *plan = checker->plan;
    for (size_t i = 0; i < plan->n_receivers; i++) {
        const earshot_receiver *r = &plan->receiver[i];
        check_use(checker, &(use){"receiver", r->name, r->radio, r->place, DUTY_RECEIVE}, said);
    }
    for (size_t i = 0; i < plan->n_mounts; i++) {
        const earshot_mount *m = &plan->mount[i];
        if (m->radio) check_use(checker, &(use){"mount", m->name, m->radio, m->place, DUTY_SEND | DUTY_RECEIVE}, said);
    }
}

void es_check_radios(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    for (size_t i = 0; i < plan->n_radios; i++) {
        check_noise_terms(checker, &plan->radio[i]);
        check_two_way(checker, &plan->radio[i]);
    }
    unsigned char *said = calloc(plan->n_radios + 1, 1);
    if (!said) {
        checker->reader->memory_out = true;
        return;
    }
    check_receivers(checker, said);
    for (size_t i = 0; i < plan->n_devices; i++) check_device(checker, &plan->device[i], said);
    for (size_t i = 0; i < plan->n_capacities && !es_report_full(&checker->reader->report); i++) {
        check_capacity(checker, i);
    }
    free(said);
}

static void warn_direction(es_checker *checker, const earshot_device *d, const earshot_radio *radio,
                           const earshot_radio *receiver)
{
    es_reader *reader = checker->reader;
    if (must_listen(d->kind) && can_send(radio) && !radio->two_way) {
        es_hint(es_warning(&reader->report, es_key_place(reader, d->place, "radio"),
                           "'%s' must hear the receiver, but its radio '%s' is not twoway", d->name, radio->name),
                "only the way from it to the receiver is judged; state twoway=yes and sensitivity= if it listens");
    } else if (radio->two_way && !receiver->two_way) {
        es_hint(es_warning(&reader->report, es_key_place(reader, d->place, "radio"),
                           "radio '%s' is twoway, but '%s' of the receiver is not", radio->name, receiver->name),
                "only the way to the receiver is judged");
    }
}

static void warn_band(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    if (plan->band_stated || !checker->n_posts) return;
    es_hint(es_warning(&checker->reader->report, (earshot_place){ES_FILE_PLAN, 0, 0, 0},
                       "the plan states no band; %.6g MHz is taken", plan->band_hz[0] / 1e6),
            "write a line such as: band 868.30MHz");
}

void es_warn_radios(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    warn_band(checker);
    if (!plan->n_receivers) return;
    const earshot_radio *receiver = es_radio_variant(checker, plan->receiver[0].radio, plan->band_hz[0]);
    bool *said = calloc(plan->n_radios + 1, sizeof *said);
    if (!said) checker->reader->memory_out = true;
    for (size_t i = 0; said && i < plan->n_devices; i++) {
        const earshot_device *d = &plan->device[i];
        const earshot_radio *radio = d->radio ? es_radio_variant(checker, d->radio, plan->band_hz[0]) : NULL;
        if (!radio || !receiver || said[radio - plan->radio]) continue;
        const size_t before = checker->reader->report.findings->n_warnings;
        warn_direction(checker, d, radio, receiver);
        said[radio - plan->radio] = checker->reader->report.findings->n_warnings > before;
    }
    free(said);
}
