/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Why a link is as it is, and what would change it, in sentences for a client. */
#include <math.h>

#include "base/text.h"
#include "earshot/place.h"
#include "present/explain.h"
#include "present/place_words.h"
#include "present/table.h"

static const double WORTH_A_WORD_DB = 1.0; /* weaker obstacles are not worth pointing at */
static const double METAL_ADVICE_DB = 3.0; /* fixing losses from which another fixing is worth a thought */

static double missing_db(const es_subject *s)
{
    return s->check->need.margin_db - s->link->dependable_db;
}

/* ---- the verdict ---- */

static void add_verdict(const es_subject *s, earshot_text *words)
{
    const earshot_link *link = s->link;
    if (link->meets) {
        es_text_format(words, "%s is heard directly, with %.1f dB more in hand than needed.", s->device->name,
                       -missing_db(s));
        return;
    }
    es_text_format(words, "%s lacks %.1f dB. ", s->device->name, missing_db(s));
    if (link->margin_db < 0.0)
        es_text_add(words, "Even on average, what arrives is too weak.");
    else if (link->dependable_db < 0.0)
        es_text_add(words, "On a good day it will be heard, but that cannot be depended on.");
    else
        es_text_add(words, "It will mostly be heard, but with less in hand than the plan asks for.");
}

/* ---- what stands between ---- */

static void add_effect_without(const es_subject *s, double loss_db, earshot_text *words)
{
    const double short_db = missing_db(s) - loss_db;
    if (short_db > 0.0)
        es_text_format(words, " Without it %.1f dB would still be missing.", short_db);
    else
        es_text_add(words, " Without it the device would be heard directly.");
}

static void add_strongest(const es_subject *s, earshot_text *words)
{
    const es_obstacles *o = &s->obstacles;
    if (o->n == 0) {
        es_text_format(words, " Nothing stands between: the distance of %.1f m costs %.1f dB.",
                       s->link->loss.distance_m, s->link->loss.free_space_db);
        return;
    }
    const es_obstacle *strongest = &o->item[o->strongest];
    if (strongest->loss_db < WORTH_A_WORD_DB) {
        es_text_add(words, " What stands between takes little.");
        return;
    }
    es_text_add(words, o->n == 1 ? " What stands between is " : " Most is taken by ");
    es_element_words(s->check->site, strongest->element, words);
    es_text_format(words, ", which costs %.1f dB.", strongest->loss_db);
    if (!s->link->meets) add_effect_without(s, strongest->loss_db, words);
}

static void add_reserve(const es_subject *s, earshot_text *words)
{
    es_text_format(words,
                   " The verdict changes when about %.1f dB more come in between: a shutter, a vehicle, foil, a full "
                   "cupboard.",
                   -missing_db(s));
}

static void add_fixing(const es_subject *s, earshot_text *words)
{
    if (s->device->fixing != EARSHOT_FIXING_METAL || s->link->mounting_db < METAL_ADVICE_DB) return;
    es_text_format(words, " The fixings cost %.1f dB together: a place off the metal would win some of it back.",
                   s->link->mounting_db);
}

/* ---- mounts ---- */

typedef struct choice {
    long mount;
    double to_device_db, to_receiver_db; /* dependable */
} choice;

/* Both legs of a repeater at one mount; false when no radio can work there. */
static bool try_mount(const es_subject *s, size_t mount, choice *made, earshot_status *status)
{
    const earshot_check *c = s->check;
    earshot_station repeater, device;
    earshot_link link;
    if (mount >= c->n_mounts || !(c->mount[mount].out.used || c->mount[mount].back.used)) return false;
    if (earshot_mount_station(c->site, mount, c->receiver, c->frequency_hz, &repeater)) return false;
    if (earshot_device_station(c->site, s->index, c->frequency_hz, &device)) return false;
    *status = earshot_links(c->site, c->model, c->frequency_hz, c->need, &repeater, &device, 1, NULL, &link);
    *made = (choice){(long)mount, link.dependable_db, c->mount[mount].dependable_db};
    return *status == EARSHOT_OK;
}

/* The mount whose weaker leg is strongest. */
static earshot_status best_mount(const es_subject *s, choice *best)
{
    earshot_status status = EARSHOT_OK;
    *best = (choice){EARSHOT_NONE, NAN, NAN};
    for (size_t i = 0; i < s->check->n_mounts && status == EARSHOT_OK; i++) {
        choice c;
        if (!try_mount(s, i, &c, &status)) continue;
        const double weaker = fmin(c.to_device_db, c.to_receiver_db);
        if (best->mount == EARSHOT_NONE || weaker > fmin(best->to_device_db, best->to_receiver_db)) *best = c;
    }
    return status;
}

static void add_mount_name(const es_subject *s, long mount, earshot_text *words)
{
    const earshot_mount *m = &earshot_site_plan(s->check->site)->mount[mount];
    es_text_add(words, m->name);
    if (m->label) es_text_format(words, " (%s)", m->label);
}

/* The repeater at a mount in the arrangement; NULL where none was made. */
static const earshot_repeater *repeater_at(const es_subject *s, long mount)
{
    const earshot_placement *p = s->check->placement;
    if (!p || !p->n_choices) return NULL;
    for (size_t i = 0; i < p->choice[0].n_repeaters; i++)
        if (p->spot[p->choice[0].repeater[i].spot].mount == mount) return &p->choice[0].repeater[i];
    return NULL;
}

static void add_repeater(const es_subject *s, earshot_text *words)
{
    const earshot_decision *d = &s->check->device[s->index];
    const earshot_repeater *repeater = repeater_at(s, d->mount);
    const bool chained = repeater && repeater->reports_to != EARSHOT_NONE;
    es_text_add(words, " A repeater at ");
    add_mount_name(s, d->mount, words);
    es_text_format(words, " helps: dependable margins of %.1f dB to the device and %.1f dB to %s%s.",
                   d->to_mount.dependable_db,
                   chained ? repeater->dependable_db : s->check->mount[d->mount].dependable_db,
                   chained ? "the next repeater, at " : "the receiver",
                   chained ? s->check->placement->spot[repeater->reports_to].name : "");
}

static bool serves(const es_subject *s, const choice *c)
{
    return fmin(c->to_device_db, c->to_receiver_db) >= s->check->need.margin_db;
}

static earshot_status add_mounts(const es_subject *s, earshot_text *words)
{
    choice best;
    const earshot_status status = best_mount(s, &best);
    if (status) return status;
    if (s->check->n_mounts == 0) {
        es_text_add(words, " The plan names no mounts where a repeater might go; add some with 'mount'.");
        return EARSHOT_OK;
    }
    if (best.mount == EARSHOT_NONE) {
        es_text_add(words, " None of the plan's mounts can hold a repeater that works here.");
        return EARSHOT_OK;
    }
    es_text_add(words, serves(s, &best) ? " A repeater at " : " None of the plan's mounts helps; the best is ");
    add_mount_name(s, best.mount, words);
    es_text_format(words, "%s dependable margins of %.1f dB to the device and %.1f dB to the receiver.",
                   serves(s, &best) ? " would serve too, but is dearer for all devices together:" : ", with",
                   best.to_device_db, best.to_receiver_db);
    return EARSHOT_OK;
}

/* ---- wires ---- */

static earshot_status add_wire(const es_subject *s, earshot_text *words)
{
    earshot_cable cable;
    if (s->check->device[s->index].unwirable) {
        es_text_add(words, " It is carried or cannot be wired, so another place, receiver or mount must be found.");
        return EARSHOT_OK;
    }
    const earshot_status status = earshot_cable_find(s->check->site, s->check->receiver, s->index, &cable);
    if (status) return status;
    if (cable.n_points) {
        es_text_add(words, " A wire: ");
        es_cable_words(s->check->site, &cable, words);
    } else {
        es_text_add(words,
                    " A wire needs a way in that the plan does not draw: glass and closed doors are all around.");
    }
    earshot_cable_clear(&cable);
    return EARSHOT_OK;
}

static earshot_status add_no_repeater(const es_subject *s, earshot_text *words)
{
    const earshot_status status = add_mounts(s, words);
    return status ? status : add_wire(s, words);
}

/* Heard well enough, and yet not direct: the receiver is full, or a repeater that is fitted does better. */
static earshot_status add_otherwise(const es_subject *s, earshot_text *words)
{
    if (s->check->device[s->index].verdict == EARSHOT_VERDICT_REPEATER) {
        add_repeater(s, words);
        return EARSHOT_OK;
    }
    es_text_add(words, " But the receiver does not hold all devices of its kind");
    es_text_add(words, s->check->device[s->index].unwirable ? "." : ", and this is the one to wire.");
    return add_wire(s, words);
}

/* ---- the whole ---- */

static earshot_status add_remedy(const es_subject *s, earshot_text *words)
{
    add_fixing(s, words);
    if (s->check->device[s->index].mount != EARSHOT_NONE) {
        add_repeater(s, words);
        return EARSHOT_OK;
    }
    return add_no_repeater(s, words);
}

earshot_status es_explain_advice(const es_subject *subject, unsigned width, earshot_text *text)
{
    earshot_text words = {0};
    earshot_status status = EARSHOT_OK;
    add_verdict(subject, &words);
    add_strongest(subject, &words);
    if (subject->device->wiring == EARSHOT_WIRING_MUST) {
        status = add_wire(subject, &words);
    } else if (subject->link->meets && subject->check->device[subject->index].verdict == EARSHOT_VERDICT_DIRECT) {
        add_reserve(subject, &words);
    } else if (subject->link->meets) {
        status = add_otherwise(subject, &words);
    } else {
        status = add_remedy(subject, &words);
    }
    if (status == EARSHOT_OK) es_wrap_made("", &words, width, text);
    earshot_text_clear(&words);
    return status;
}
