// cases.mjs - cases that a report must survive, made from the demo.
// SPDX-License-Identifier: GPL-3.0-or-later

// Texts that would be markup if they were not escaped, and letters that are not Latin.
export function hostile(demo) {
    const c = structuredClone(demo);
    c.case = 'hostile-1';
    c.note = '<script>document.title = "broken"</script> & "quoted" Ωμέγα';
    c.coronaries.left.ostium_gap.readings_mm = { '<i>A</i> & "B"': [5.7], 'Łukasz Ωμέγα 試験': [5.9] };
    c.alternatives[0].name = '<b>"wire" & \'stent\'</b> 試験 and a very long name that goes on and on until no column could ever hold it';
    c.alternatives[1].name = '</title><style>*{display:none}</style>';
    return c;
}

// Seven sides all round, some close to each other; a known post; heights and gaps that differ.
export function manySides(demo) {
    const c = structuredClone(demo);
    const { left, right } = c.coronaries;
    c.case = 'many-sides';
    c.coronaries = {};
    [5, 20, 75, 140, 200, 310, 350].forEach((azimuth, i) => {
        const side = structuredClone(i % 2 ? right : left);
        side.azimuth_deg = azimuth;
        side.stj_gap = 1.5 + i * 0.4;
        side.stj_height = 14 + i;
        c.coronaries[`side_${i + 1}`] = side;
    });
    c.surgical_valve.post_azimuth_deg = 40;
    c.alternatives = [{ name: 'smaller device', implant: { nominal_diameter_mm: 22.5 }, burden: 0.02 }];
    return c;
}
