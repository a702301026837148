/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A choice written into the plan. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/place.h"

/* A plan like the one placed, with some of its lists its own. */
typedef struct copy {
    earshot_plan plan;
    earshot_receiver receiver;
    earshot_mount *mount;   /* malloc'ed */
    earshot_device *device; /* malloc'ed */
} copy;

static const earshot_repeater *repeater_at(const earshot_choice *c, size_t spot)
{
    for (size_t i = 0; i < c->n_repeaters; i++)
        if (c->repeater[i].spot == spot) return &c->repeater[i];
    return NULL;
}

/* The receiver, called after the place it goes to: its old place may hold a repeater now. */
static earshot_receiver receiver_at(const earshot_placement *p, const earshot_spot *spot)
{
    if (spot->receiver != EARSHOT_NONE) return p->plan->receiver[spot->receiver];
    earshot_receiver r = {.name = spot->name,
                          .label = spot->label,
                          .radio = p->plan->receiver[0].radio,
                          .storey = spot->storey,
                          .point = spot->point,
                          .at_m = spot->at_m,
                          .mounting_db = NAN};
    if (spot->mount != EARSHOT_NONE) {
        r.fixing = p->plan->mount[spot->mount].fixing;
        r.mounting_db = p->plan->mount[spot->mount].mounting_db;
    }
    return r;
}

/* What a place other than the receiver's becomes: a mount, with or without a repeater. */
static earshot_mount mount_at(const earshot_placement *p, const earshot_spot *spot, bool repeater)
{
    if (spot->mount != EARSHOT_NONE) {
        earshot_mount m = p->plan->mount[spot->mount];
        m.repeater = m.repeater || repeater;
        return m;
    }
    earshot_mount m = {.name = spot->name,
                       .label = spot->label,
                       .storey = spot->storey,
                       .point = spot->point,
                       .at_m = spot->at_m,
                       .mains = true,
                       .receiver = true,
                       .repeater = repeater,
                       .mounting_db = NAN};
    if (spot->receiver != EARSHOT_NONE) {
        const earshot_receiver *r = &p->plan->receiver[spot->receiver];
        m.radio = r->radio;
        m.fixing = r->fixing;
        m.mounting_db = r->mounting_db;
    }
    return m;
}

/* A plan is written storey by storey. */
static int by_storey(const void *a, const void *b)
{
    const earshot_mount *one = a, *two = b;
    if (one->storey != two->storey) return one->storey < two->storey ? -1 : 1;
    return strcmp(one->name, two->name);
}

/* Mounts and receivers of the plan stay as mounts; of the points along walls only those in use are written. */
static void copy_mounts(const earshot_placement *p, const earshot_choice *c, copy *out)
{
    size_t n = 0;
    for (size_t i = 0; i < p->n_spots; i++) {
        const earshot_spot *spot = &p->spot[i];
        const bool repeater = repeater_at(c, i) != NULL;
        const bool made_up = spot->receiver == EARSHOT_NONE && spot->mount == EARSHOT_NONE;
        if (i != c->spot && (repeater || !made_up)) out->mount[n++] = mount_at(p, spot, repeater);
    }
    qsort(out->mount, n, sizeof *out->mount, by_storey);
    out->plan.mount = out->mount;
    out->plan.n_mounts = n;
}

static void copy_devices(const earshot_placement *p, const earshot_choice *c, copy *out)
{
    memcpy(out->device, p->plan->device, p->plan->n_devices * sizeof *out->device);
    for (size_t d = 0; d < c->n_devices; d++)
        if (c->device[d].verdict == EARSHOT_VERDICT_WIRE && c->device[d].served)
            out->device[d].wiring = EARSHOT_WIRING_MUST;
    out->plan.device = out->device;
}

/* Storeys that the plan only uses from another file are not written, nor could what stands in them be. */
static bool is_whole(const earshot_plan *plan)
{
    for (size_t i = 0; i < plan->n_storeys; i++)
        if (plan->storey[i].place.file != 0) return false;
    return true;
}

static void fill(const earshot_placement *p, const earshot_choice *c, copy *out)
{
    out->plan = *p->plan;
    out->receiver = receiver_at(p, &p->spot[c->spot]);
    out->plan.receiver = &out->receiver;
    out->plan.n_receivers = 1;
    out->plan.band_hz[0] = p->frequency_hz;
    out->plan.n_bands = 1;
    out->plan.band_stated = true;
    copy_mounts(p, c, out);
    if (p->plan->n_devices) copy_devices(p, c, out);
}

earshot_status earshot_placement_write(const earshot_placement *placement, size_t choice, char **text)
{
    *text = NULL;
    if (choice >= placement->n_choices || !is_whole(placement->plan)) return EARSHOT_ARGUMENT;
    copy out = {.mount = malloc((placement->n_spots + 1) * sizeof *out.mount),
                .device = malloc((placement->plan->n_devices + 1) * sizeof *out.device)};
    earshot_status status = EARSHOT_MEMORY;
    if (out.mount && out.device) {
        fill(placement, &placement->choice[choice], &out);
        status = earshot_plan_write(&out.plan, text);
    }
    free(out.mount);
    free(out.device);
    return status;
}
