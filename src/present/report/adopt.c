/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/report/adopt.h"

#include <stdlib.h>
#include <string.h>

static void *copy(const void *items, size_t n, size_t size)
{
    void *made = calloc(n + 1, size);
    if (made && n) memcpy(made, items, n * size);
    return made;
}

void es_adopted_clear(earshot_check *adopted)
{
    free(adopted->device);
    free(adopted->mount);
    *adopted = (earshot_check){0};
}

static bool fits(const earshot_check *check, const earshot_placement *p)
{
    return p->n_choices > 0 && p->frequency_hz == check->frequency_hz && p->choice[0].n_devices == check->n_devices &&
           p->spot[p->choice[0].spot].receiver == (long)check->receiver;
}

/* The link from a device to the mount it goes through. */
static earshot_status link_to_mount(const earshot_check *c, size_t device, long mount, earshot_link *link)
{
    earshot_station repeater, station;
    earshot_status status = earshot_mount_station(c->site, (size_t)mount, c->receiver, c->frequency_hz, &repeater);
    if (status == EARSHOT_OK) status = earshot_device_station(c->site, device, c->frequency_hz, &station);
    if (status) return status;
    return earshot_links(c->site, c->model, c->frequency_hz, c->need, &repeater, &station, 1, NULL, link);
}

static earshot_status adopt_device(const earshot_placement *p, size_t device, earshot_check *c)
{
    const earshot_placed *placed = &p->choice[0].device[device];
    earshot_decision *d = &c->device[device];
    const long mount = placed->spot == EARSHOT_NONE ? EARSHOT_NONE : p->spot[placed->spot].mount;
    d->verdict = placed->verdict;
    d->unwirable = !placed->served;
    d->mount = placed->verdict == EARSHOT_VERDICT_REPEATER ? mount : EARSHOT_NONE;
    c->n_direct += d->verdict == EARSHOT_VERDICT_DIRECT;
    c->n_repeater += d->verdict == EARSHOT_VERDICT_REPEATER;
    c->n_wire += d->verdict == EARSHOT_VERDICT_WIRE;
    return d->mount == EARSHOT_NONE ? EARSHOT_OK : link_to_mount(c, device, d->mount, &d->to_mount);
}

earshot_status es_adopt(const earshot_check *check, const earshot_placement *placement, earshot_check *adopted)
{
    *adopted = (earshot_check){0};
    if (!fits(check, placement)) return EARSHOT_ARGUMENT;
    const earshot_choice *choice = &placement->choice[0];
    earshot_status status = EARSHOT_OK;
    *adopted = *check;
    adopted->device = copy(check->device, check->n_devices, sizeof *check->device);
    adopted->mount = copy(check->mount, check->n_mounts, sizeof *check->mount);
    adopted->n_direct = adopted->n_repeater = adopted->n_wire = 0;
    if (!adopted->device || !adopted->mount) status = EARSHOT_MEMORY;
    for (size_t i = 0; i < check->n_devices && status == EARSHOT_OK; i++) status = adopt_device(placement, i, adopted);
    for (size_t i = 0; i < choice->n_repeaters && status == EARSHOT_OK; i++) {
        const long mount = placement->spot[choice->repeater[i].spot].mount;
        if (mount != EARSHOT_NONE) adopted->mount[mount].dependable_db = choice->repeater[i].dependable_db;
    }
    if (status != EARSHOT_OK) es_adopted_clear(adopted);
    return status;
}
