/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Direct, repeater or wire; and whether the receiver can hold them all. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "earshot/place.h"

const char *earshot_verdict_name(earshot_verdict verdict)
{
    switch (verdict) {
    case EARSHOT_VERDICT_DIRECT: return "direct";
    case EARSHOT_VERDICT_REPEATER: return "repeater";
    case EARSHOT_VERDICT_WIRE: return "wire";
    }
    return NULL;
}

static const double SOLVER_S = 60.0; /* a check must come to an end; then the best that was found is told */

/* The work of one check. A station without a radio takes no part. */
typedef struct judging {
    earshot_check check;
    const earshot_plan *plan;
    earshot_station receiver;
    earshot_station *device;  /* [n_devices] */
    earshot_station *mount;   /* [n_mounts] */
    earshot_station *lacking; /* [n_devices] those without margin, the others without a radio */
    earshot_link *link;       /* [n_devices] of one sweep */
    const earshot_watch *watch;
    size_t sweeps, n_sweeps; /* done, and at most to be done */
    earshot_error *error;
} judging;

static earshot_status no_memory(const judging *j)
{
    return es_fail(j->error, EARSHOT_MEMORY, NULL, "out of memory");
}

/* ---- sweeps, with one progress over all of them ---- */

static bool part_done(void *context, double done)
{
    const judging *j = context;
    return j->watch->progress(j->watch->context, ((double)j->sweeps + done) / (double)j->n_sweeps);
}

static earshot_status sweep(judging *j, const earshot_station *from, const earshot_station *to, size_t n,
                            earshot_link *link)
{
    const earshot_check *c = &j->check;
    const earshot_watch part = {part_done, j};
    const bool watched = j->watch && j->watch->progress;
    const earshot_status status =
        earshot_links(c->site, c->model, c->frequency_hz, c->need, from, to, n, watched ? &part : NULL, link);
    j->sweeps++;
    if (status) return es_fail(j->error, status, NULL, "%s", earshot_status_text(status));
    return EARSHOT_OK;
}

/* ---- stations ---- */

static earshot_status wrong_band(const judging *j, const char *what, const char *name, const char *radio)
{
    return es_fail(j->error, EARSHOT_NO_SUCH_NAME, "give it a radio of this band, or check another band",
                   "%s '%s': no radio '%s' for %.2f MHz", what, name, radio ? radio : "", j->check.frequency_hz / 1e6);
}

static bool can_link(const earshot_radio *device, const earshot_radio *receiver)
{
    const bool out = !isnan(device->erp_dbm) && !isnan(receiver->sensitivity_dbm);
    const bool back = !isnan(receiver->erp_dbm) && !isnan(device->sensitivity_dbm);
    return out || back;
}

/* A device that the plan has wired need not have a radio. */
static earshot_status find_device(judging *j, size_t i)
{
    const earshot_device *d = &j->plan->device[i];
    const bool wired = d->wiring == EARSHOT_WIRING_MUST;
    const earshot_status status = earshot_device_station(j->check.site, i, j->check.frequency_hz, &j->device[i]);
    if (status && wired) return EARSHOT_OK;
    if (status) return wrong_band(j, "device", d->name, d->radio);
    if (can_link(j->device[i].radio, j->receiver.radio)) return EARSHOT_OK;
    j->device[i].radio = NULL;
    if (wired) return EARSHOT_OK;
    return es_fail(j->error, EARSHOT_ARGUMENT, "one must have erp=, the other sensitivity=",
                   "device '%s' can neither send to the receiver nor hear it", d->name);
}

static earshot_status find_stations(judging *j)
{
    const earshot_receiver *r = &j->plan->receiver[j->check.receiver];
    earshot_status status =
        earshot_receiver_station(j->check.site, j->check.receiver, j->check.frequency_hz, &j->receiver);
    if (status) return wrong_band(j, "receiver", r->name, r->radio);
    for (size_t i = 0; i < j->check.n_devices && !status; i++) status = find_device(j, i);
    return status;
}

/* ---- verdicts ---- */

static bool is_wired(const judging *j, size_t device)
{
    return j->plan->device[device].wiring == EARSHOT_WIRING_MUST;
}

/* First verdicts, from the links to the receiver; says how many devices lack margin. */
static size_t judge_direct(judging *j)
{
    size_t lacking = 0;
    for (size_t i = 0; i < j->check.n_devices; i++) {
        earshot_decision *d = &j->check.device[i];
        *d = (earshot_decision){.link = j->link[i], .mount = EARSHOT_NONE, .verdict = EARSHOT_VERDICT_WIRE};
        if (is_wired(j, i)) continue;
        if (d->link.meets) {
            d->verdict = EARSHOT_VERDICT_DIRECT;
            continue;
        }
        if (j->device[i].radio->hops < 1) continue;
        j->lacking[i] = j->device[i];
        lacking++;
    }
    return lacking;
}

static bool can_repeat(const earshot_radio *radio, const earshot_mount *mount)
{
    return !isnan(radio->erp_dbm) && !isnan(radio->sensitivity_dbm) && (mount->mains || !radio->needs_mains);
}

static void find_mounts(judging *j)
{
    for (size_t i = 0; i < j->check.n_mounts; i++) {
        earshot_station *s = &j->mount[i];
        const earshot_check *c = &j->check;
        if (earshot_mount_station(c->site, i, c->receiver, c->frequency_hz, s)) continue;
        if (!can_repeat(s->radio, &j->plan->mount[i]) || !can_link(s->radio, j->receiver.radio)) s->radio = NULL;
    }
}

static double smaller_margin(const judging *j, size_t mount, const earshot_link *to_mount)
{
    return fmin(j->check.mount[mount].dependable_db, to_mount->dependable_db);
}

static bool is_better(const judging *j, size_t mount, const earshot_link *to_mount, const earshot_decision *now)
{
    if (now->mount == EARSHOT_NONE) return true;
    const size_t held = (size_t)now->mount;
    const double here = smaller_margin(j, mount, to_mount), there = smaller_margin(j, held, &now->to_mount);
    if (here != there) return here > there;
    return strcmp(j->plan->mount[mount].name, j->plan->mount[held].name) < 0;
}

/* Offer a repeater at one mount to all devices that lack margin. It sends and receives, so each can link with it. */
static earshot_status try_mount(judging *j, size_t mount)
{
    const earshot_status status = sweep(j, &j->mount[mount], j->lacking, j->check.n_devices, j->link);
    if (status) return status;
    for (size_t i = 0; i < j->check.n_devices; i++) {
        earshot_decision *d = &j->check.device[i];
        if (!j->lacking[i].radio || !j->link[i].meets || !is_better(j, mount, &j->link[i], d)) continue;
        d->verdict = EARSHOT_VERDICT_REPEATER;
        d->mount = (long)mount;
        d->to_mount = j->link[i];
    }
    return EARSHOT_OK;
}

static earshot_status judge_mounts(judging *j)
{
    find_mounts(j);
    earshot_status status = sweep(j, &j->receiver, j->mount, j->check.n_mounts, j->check.mount);
    for (size_t i = 0; i < j->check.n_mounts && !status; i++)
        if (j->mount[i].radio && j->check.mount[i].meets) status = try_mount(j, i);
    return status;
}

/* ---- the best arrangement ---- */

static earshot_status find_arrangement(judging *j)
{
    earshot_check *c = &j->check;
    const earshot_watch part = {part_done, j};
    const bool watched = j->watch && j->watch->progress;
    const earshot_place_request request = {.site = &j->check.site,
                                           .n_sites = 1,
                                           .model = c->model,
                                           .frequency_hz = c->frequency_hz,
                                           .receiver = (long)c->receiver,
                                           .best = 1,
                                           .seconds = SOLVER_S,
                                           .watch = watched ? &part : NULL};
    c->placement = calloc(1, sizeof *c->placement);
    if (!c->placement) return no_memory(j);
    const earshot_status status = earshot_place_run(&request, c->placement, j->error);
    j->sweeps++;
    return status;
}

static void take_decision(judging *j, const earshot_placement *p, size_t device)
{
    const earshot_placed *placed = &p->choice[0].device[device];
    earshot_decision *d = &j->check.device[device];
    d->verdict = placed->verdict;
    d->unwirable = !placed->served;
    d->mount = placed->spot == EARSHOT_NONE ? EARSHOT_NONE : p->spot[placed->spot].mount;
}

/* The links of the devices that go through the repeater at one mount. */
static earshot_status link_to_mount(judging *j, size_t mount)
{
    for (size_t i = 0; i < j->check.n_devices; i++) {
        const bool uses = j->check.device[i].mount == (long)mount;
        j->lacking[i] = uses ? j->device[i] : (earshot_station){0};
    }
    const earshot_status status = sweep(j, &j->mount[mount], j->lacking, j->check.n_devices, j->link);
    for (size_t i = 0; i < j->check.n_devices && !status; i++)
        if (j->lacking[i].radio) j->check.device[i].to_mount = j->link[i];
    return status;
}

static earshot_status judge_best(judging *j)
{
    find_mounts(j);
    earshot_status status = sweep(j, &j->receiver, j->mount, j->check.n_mounts, j->check.mount);
    if (!status) status = find_arrangement(j);
    if (status || !j->check.placement->n_choices) return status;
    const earshot_choice *choice = &j->check.placement->choice[0];
    for (size_t i = 0; i < j->check.n_devices; i++) take_decision(j, j->check.placement, i);
    for (size_t i = 0; i < choice->n_repeaters && !status; i++)
        status = link_to_mount(j, (size_t)j->check.placement->spot[choice->repeater[i].spot].mount);
    return status;
}

/* Is there anything to arrange? A repeater that is fitted may do better than the receiver alone. */
static bool is_plain(const judging *j)
{
    for (size_t i = 0; i < j->plan->n_mounts; i++)
        if (j->plan->mount[i].repeater) return false;
    for (size_t i = 0; i < j->check.n_devices; i++)
        if (j->check.device[i].verdict != EARSHOT_VERDICT_DIRECT) return false;
    return j->check.n_overloads == 0;
}

/* ---- capacity and summary ---- */

static unsigned count_by_radio(const judging *j, unsigned kinds)
{
    unsigned n = 0;
    for (size_t i = 0; i < j->check.n_devices; i++) n += !is_wired(j, i) && (kinds >> j->plan->device[i].kind & 1u);
    return n;
}

static void judge_capacity(judging *j)
{
    const char *radio = j->plan->receiver[j->check.receiver].radio;
    for (size_t i = 0; i < j->plan->n_capacities; i++) {
        const earshot_capacity *c = &j->plan->capacity[i];
        if (strcmp(c->radio, radio) != 0) continue;
        const unsigned needed = count_by_radio(j, c->kinds);
        if (needed > c->count) j->check.overload[j->check.n_overloads++] = (earshot_overload){i, needed};
    }
}

static void summarise(judging *j)
{
    earshot_check *c = &j->check;
    c->all_direct = c->n_overloads == 0;
    for (size_t i = 0; i < c->n_devices; i++) {
        const earshot_device *device = &j->plan->device[i];
        earshot_decision *d = &c->device[i];
        c->n_direct += d->verdict == EARSHOT_VERDICT_DIRECT;
        c->n_repeater += d->verdict == EARSHOT_VERDICT_REPEATER;
        c->n_wire += d->verdict == EARSHOT_VERDICT_WIRE;
        d->unwirable =
            d->unwirable || (d->verdict == EARSHOT_VERDICT_WIRE &&
                             (device->wiring == EARSHOT_WIRING_CANNOT || earshot_kind_is_handheld(device->kind)));
        const bool fitted = d->verdict == EARSHOT_VERDICT_REPEATER && j->plan->mount[d->mount].repeater;
        const bool well = d->verdict == EARSHOT_VERDICT_DIRECT || fitted || is_wired(j, i);
        if (!well || d->unwirable) c->all_direct = false;
    }
}

/* ---- the whole ---- */

static earshot_status allocate(judging *j)
{
    earshot_check *c = &j->check;
    const size_t devices = c->n_devices + 1, mounts = c->n_mounts + 1; /* never 0: calloc may then return NULL */
    c->device = calloc(devices, sizeof *c->device);
    c->mount = calloc(mounts, sizeof *c->mount);
    c->overload = calloc(j->plan->n_capacities + 1, sizeof *c->overload);
    j->device = calloc(devices, sizeof *j->device);
    j->lacking = calloc(devices, sizeof *j->lacking);
    j->link = calloc(devices, sizeof *j->link);
    j->mount = calloc(mounts, sizeof *j->mount);
    const bool all = c->device && c->mount && c->overload && j->device && j->lacking && j->link && j->mount;
    return all ? EARSHOT_OK : no_memory(j);
}

static earshot_status judge(judging *j)
{
    earshot_status status = allocate(j);
    if (!status) status = find_stations(j);
    if (!status) status = sweep(j, &j->receiver, j->device, j->check.n_devices, j->link);
    if (status) return status;
    judge_capacity(j);
    const size_t lacking = judge_direct(j);
    const bool repeatable = j->receiver.radio->hops >= 1;
    if (earshot_place_available()) {
        if (!is_plain(j)) status = judge_best(j);
    } else if (lacking && j->check.n_mounts && repeatable) {
        status = judge_mounts(j);
    }
    if (status) return status;
    summarise(j);
    return EARSHOT_OK;
}

earshot_status earshot_check_run(const earshot_site *site, earshot_model model, double frequency_hz, size_t receiver,
                                 const earshot_watch *watch, earshot_check *check, earshot_error *error)
{
    if (!check) return es_fail(error, EARSHOT_ARGUMENT, NULL, "no place for the check");
    *check = (earshot_check){0};
    if (!site) return es_fail(error, EARSHOT_ARGUMENT, NULL, "no site");
    const earshot_plan *plan = earshot_site_plan(site);
    if (receiver >= plan->n_receivers)
        return es_fail(error, EARSHOT_ARGUMENT, "state one with 'receiver'", "the plan has no such receiver");
    judging j = {.plan = plan, .watch = watch, .n_sweeps = plan->n_mounts + 3, .error = error};
    j.check = (earshot_check){.site = site,
                              .model = model,
                              .frequency_hz = frequency_hz,
                              .receiver = receiver,
                              .need = {plan->need_margin_db, plan->need_confidence},
                              .n_devices = plan->n_devices,
                              .n_mounts = plan->n_mounts};
    const earshot_status status = judge(&j);
    free(j.device);
    free(j.mount);
    free(j.lacking);
    free(j.link);
    if (status)
        earshot_check_clear(&j.check);
    else
        *check = j.check;
    return status;
}

void earshot_check_clear(earshot_check *check)
{
    if (!check) return;
    free(check->device);
    free(check->mount);
    free(check->overload);
    earshot_placement_clear(check->placement);
    free(check->placement);
    *check = (earshot_check){0};
}
