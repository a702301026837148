#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Prints the largest plan allowed: 100,000 walls in rooms of 4 m and 10,000 devices, few of which can be heard (demo data).
LC_ALL=C awk '
    BEGIN {
        print "plan 1\nsite \"Largest (demo data)\"\nband 868.30MHz"
        print "radio hub erp=14dBm sensitivity=-107dBm twoway=yes\nradio small erp=8dBm"
        print "storey ground level=0m height=2.5m"
        for (y = 0; n < 100000; y += 4)
            for (x = 0; x < 912 && n < 100000; x += 4) {
                print "wall stud " x "," y " " x + 4 "," y
                print "wall stud " x "," y " " x "," y + 4
                n += 2
            }
        print "receiver panel 450.5,440.5 at=1.6m radio=hub"
        for (i = 0; i < 10000; i++)
            printf "device d%d movement %.2f,%.2f at=2m radio=small\n", i, (i % 100) * 9 + 1.5, int(i / 100) * 8.7 + 1.7
    }'
