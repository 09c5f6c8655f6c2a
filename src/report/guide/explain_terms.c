/* explain_terms.c - every word of cases, commands and reports, explained in three sentences each.
 *
 * Written for a clinician who meets the word for the first time: what it is, how it is stated or read, what it does to
 * the answer. Numbers stand in keys.c and defaults.c only, so that nothing here can grow old.
 *
 * Contents: 1. words of the reports  2. what is computed  3. commands  4. options  5. the case  6. the scan
 *           7. the failed valve  8. the new valve  9. coronaries  10. readings  11. alternatives  12. profile
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/guide/explain_terms.h"

static const sm_term terms[] = {
    /* 1. Words of the reports */

    {SM_TERMS_WORDS, "clearance|room",
     "The room in mm between the tube of pinned-open leaflets and the wall beside it, at the ostium or at the "
     "sinotubular junction. It is computed from your readings and from all that the new valve does to the old "
     "leaflets, and it is a spread, not one number, because every reading is off by a little. A crossing counts only "
     "where the tube also stands high enough to matter: see cover and reach."},
    {SM_TERMS_WORDS, "tube|leaflet tube",
     "The wall that the new valve makes of the old leaflets when it pins them open. Its radius is that of the new "
     "frame held by the surgical ring, and flare, stand-off and thick leaflets widen it. Room is measured from this "
     "tube, which is why it is often less than the drawn circle shows."},
    {SM_TERMS_WORDS, "crowded ostium|crowded",
     "The tube reaches at least the lower edge of the ostium, and the room between tube and ostium is below the limit. "
     "Both must be so in the same root: a narrow gap above a tube that ends lower is not crowded. It means that blood "
     "has little room to reach the artery, not that the artery will be obstructed."},
    {SM_TERMS_WORDS, "sealed sinus|sealed",
     "The tube reaches at least the sinotubular junction, and the room between tube and junction is below the limit. "
     "The sinus behind the tube is then nearly closed off at its top, however much room there is beside the ostium. It "
     "is counted side by side with the crowded ostium, and either one is a limit crossed."},
    {SM_TERMS_WORDS, "event|limit crossed|patient event",
     "A limit is crossed on a side when its ostium is crowded or its sinus is sealed, and in the patient when that "
     "is so on any side. Its probability is the share of roots, all drawn so that they would read like yours, in "
     "which it is truly so. It is not the probability that a coronary artery will be obstructed."},
    {SM_TERMS_WORDS, "action line|action_line|your line|line",
     "The probability of a crossed limit at which you would act, for example 0.2 for 20 of 100. It is yours to "
     "choose from what an untreated event and what acting would cost the patient, and the program never chooses it. "
     "Without it probabilities are printed and nothing is called."},
    {SM_TERMS_WORDS, "call|above your line|below your line",
     "The one-sentence answer, in five forms: above your line, below it, either of them but hanging on what is named, "
     "or "
     "open. It hangs on judged values, limits or walls where these could as well be others that turn it. A call is a "
     "statement about measurements and supports the heart team's judgement."},
    {SM_TERMS_WORDS, "root|trial",
     "One aortic root that would give the readings that you got, with true sizes drawn from all that is uncertain. The "
     "program draws many of them and counts in how many a limit is truly crossed. More trials make the count more "
     "exact; they do not make the readings better."},
    {SM_TERMS_WORDS, "natural frequency|of 100",
     "A probability said as a count, such as about 25 of 100 roots read like this. If it is rare, the count is "
     "said of 1,000 or more, and never as a bare 0. Only so many digits are printed as the run can know."},
    {SM_TERMS_WORDS, "interval|Monte Carlo error|95 % interval|Monte Carlo|standard error|+-",
     "How well the run knows its own answer, given that it drew only so many roots. It becomes narrower with more "
     "trials and says nothing of how good readings and assumptions are. The uncertainty of the measurements is "
     "already inside the probability itself."},
    {SM_TERMS_WORDS, "95 of 100 lie|spread",
     "The range in mm that holds the middle 95 of 100 true values of a room or a height. It comes from the errors of "
     "readings, plane, axis and of the deployment together. A wide range near a limit is why one reading cannot "
     "decide."},
    {SM_TERMS_WORDS, "median|mean",
     "The median is the value with as many true rooms above it as below, and the mean is their average. The two differ "
     "if the spread has a longer tail on one side. Neither is compared with the limit: the share beyond the limit "
     "is."},
    {SM_TERMS_WORDS, "by drawn circle|drawn circle|conventional clearance",
     "The room as usually measured: from the circle that the reader drew around the planned valve to the wall. It "
     "knows nothing of flare, stand-off, thick leaflets or an oval ring. It stands beside the computed room so that "
     "you see what they take away."},
    {SM_TERMS_WORDS, "limit|limits",
     "The room below which an ostium counts as crowded or a sinus as sealed. The values come from small, "
     "retrospective series, some of them of native valves, and are settings of the case. Crossing a limit is a sign "
     "of danger, not the event itself."},
    {SM_TERMS_WORDS, "source|sources",
     "One named cause of uncertainty, such as the placing of the base plane or the reading of the left gap. Each "
     "source has random numbers of its own, so that a change in one leaves the others as they were. Reports name "
     "sources in plain words; the result file uses names such as left.ostium_gap."},
    {SM_TERMS_WORDS, "reducible",
     "Uncertainty that a better or a further measurement could take away before the procedure. Reading a gap again, "
     "placing the plane anew or tracing the ring are of this kind. What cannot be measured before the valve is in is "
     "called deployment."},
    {SM_TERMS_WORDS, "deployment|irreducible|not to be known before",
     "What nobody can know before the new valve is in: how far it expands, leans, flares and how deep it sits. No "
     "imaging takes it away, and recheck never sends anybody to measure it. What is left of the risk when everything "
     "else is known is called irreducible."},
    {SM_TERMS_WORDS, "worth|value of a re-check",
     "What a perfect re-check of one thing would spare, in untreated events per 1,000 such cases (in the result file: "
     "per case), when you act at your line. It is 0 if no result could change the call, however uncertain that "
     "thing is. Worths of several "
     "re-checks do not add up."},
    {SM_TERMS_WORDS, "call change|would change the call",
     "In how many of 10 cases that read like this a perfect re-check would move the call to the other side of your "
     "line. It tells how likely a second look is to matter at all. Worth also counts how much each change would "
     "spare."},
    {SM_TERMS_WORDS, "one more reading",
     "What one further reading of the same thing by another reader would spare, which is less than a perfect "
     "re-check. It is given for readings whose SDs come from a study, a profile or the defaults, and left out if the "
     "scatter of the readings themselves gives the error. Beside the worth it shows how much of it an ordinary second "
     "look can give."},
    {SM_TERMS_WORDS, "tied",
     "Two or more re-checks whose worths the run cannot tell apart. Their order in the list then means nothing. Choose "
     "the one that is easiest to do, or run more trials."},
    {SM_TERMS_WORDS, "guarded limit|guarded",
     "What one gap must read, with these errors and every other reading as it is, for the case to fall below your "
     "line, rounded up to a tenth of a millimetre. It is larger than the limit because a reading near the limit leaves "
     "many roots beyond it. It says none, "
     "with the reason, if another side or the sealed sinus decides."},
    {SM_TERMS_WORDS, "Sobol shares|Sobol index|share of variance|alone|in all",
     "How much of the uncertainty of the answer comes from each source, in percent. Alone counts what a source does by "
     "itself, and in all counts what it does together with others as well, so that those add up to more than 100. A "
     "large share does not say that measuring again pays: see worth."},
    {SM_TERMS_WORDS, "perfect information bound|bound",
     "The most that knowing everything at once could spare, in units of one untreated event. Every worth lies below "
     "it. If it is small, no measurement can help much and the decision can be made now."},
    {SM_TERMS_WORDS, "setting|settings|judged|judged value|judged values|hangs on",
     "A setting is one value for every number of the case that was judged, remembered or taken over by analogy, each "
     "drawn from its range with what is taken as the middle. The program runs 256 of them: between two numbers the "
     "answer "
     "lies in 90 of 100, and in so many of 100 the call stays. A call that does not stay, or that the other published "
     "limits "
     "or a bright wall would turn, hangs on them."},
    {SM_TERMS_WORDS, "firm|firmness",
     "A call that stays in at least 95 of 100 settings of the judged values, by the other published limits, and "
     "whether "
     "walls are bright or not. It says nothing of the readings' own errors: those are in the number itself. Firm is "
     "not certain."},
    {SM_TERMS_WORDS, "open|unresolved",
     "Nothing is called. Either the answer lies so near to your line that this run cannot tell on which side, or two "
     "looks "
     "are opposed, or too few trials count. More trials help the first alone."},
    {SM_TERMS_CASE, "measured",
     "Beside a value, as in {\"value\": 0.9, \"measured\": true}: it was measured in this patient or on this device, "
     "and so "
     "is no judgement. It then leaves the settings, even if it equals the default. What is read needs no such word."},
    {SM_TERMS_CASE, "reach_margin_mm|reach margin",
     "How far below the sinotubular junction, in mm, a tube may end and still seal the sinus. With 0 it must reach the "
     "junction itself. On CT after implants none was threatened where the leaflet ended 2 mm or more below it."},
    {SM_TERMS_OPTIONS, "--whole",
     "Prints everything that assess knows, not the first screen alone: the rooms, each side, the assumptions. The "
     "first "
     "screen has at most 40 lines. The result file holds all of it either way."},
    {SM_TERMS_WORDS, "swing|which assumption matters",
     "How far the probability moves when one value in doubt goes from one end of its range to the other; of a "
     "distribution, its middle or end. It shows how much of the answer rests on judgement. A swing across your line is "
     "a "
     "reason to find a better number."},
    {SM_TERMS_WORDS, "grade|stated|published|derived|judgement|unconfirmed",
     "How far the source of a number can be trusted. Stated by the case or profile, published, derived from something "
     "published, judgement without a published number, or unconfirmed because it is from memory. Reports list the "
     "weakest first."},
    {SM_TERMS_WORDS, "origin|default",
     "Where a value in force comes from: the case, the site profile, or the built-in table of defaults. The first that "
     "states it wins, in this order. Every default that is used is listed in the report with its grade and source."},
    {SM_TERMS_WORDS, "opposed|two looks are opposed|looks opposed",
     "Two looks at one thing are opposed if the readings disagree and believing the one or the other alone leads to "
     "different sides of your line. The two numbers then stand beneath the answer, and the call is open however "
     "many trials are drawn. Readings that agree may lie on different sides too, each alone: that is told, and both "
     "together call."},
    {SM_TERMS_WORDS, "both_right|both right|both can be right",
     "How probable it is that the first reading and the second look are both about what they should be, given what "
     "they read. The nearer they lie for their errors, the nearer it is to 100 of 100. The rest is shared by look_off "
     "and first_off."},
    {SM_TERMS_WORDS, "look_off|off|event_first_only",
     "How probable it is that the second look is about something else, by a wrong landmark, a wrong view or a slip of "
     "typing. Where that is most likely, the answer leans back on the first reading. What believing the first reading "
     "alone gives is event_first_only in the result file."},
    {SM_TERMS_WORDS, "first_off|event_look_only",
     "How probable it is that the first reading, mostly from CT, is about something else, given what the second look "
     "read. Its quantity is then drawn from the look alone, and everything else stays as it was read. What believing "
     "the look alone gives is event_look_only in the result file."},
    {SM_TERMS_WORDS, "effective_trials|effective trials|count alike",
     "With second looks each trial counts by how well it agrees with them, so that many count little. The result says "
     "how many trials that count alike would know as much. Below 2,000 the run warns: ask for more trials."},
    {SM_TERMS_WORDS, "untreated event|untreated",
     "A limit that is truly crossed with nothing done about it: the unit in which worths and burdens are counted. It "
     "is not an obstructed artery, which it may or may not lead to. How bad it is compared with acting is what your "
     "line, or the burden that you state, says."},
    {SM_TERMS_WORDS, "net benefit",
     "Acting on everyone who reads like this, compared with going as planned: the events that are met, less the "
     "needless acts, each weighed by the odds of the line. Above 0 acting is better at that line, and below 0 going "
     "as planned. It is per case and in untreated events."},
    {SM_TERMS_WORDS, "SD|standard deviation",
     "How far readings or true values typically lie from their middle, in their own unit. About 68 of 100 lie within "
     "one SD of it, and 95 of 100 within two. A smaller SD means that a reading says more."},
    {SM_TERMS_WORDS, "break-even",
     "The value of an assumption at which the probability meets your line. Beyond it the call would change, so it "
     "tells how wrong the assumption would have to be. It has a standard error because it is found with random draws."},
    {SM_TERMS_WORDS, "knob",
     "What a sweep can turn: an assumption, a reading, or a factor on all errors of one kind. A turned knob stands "
     "for knowing that thing exactly, or for a reading that is moved while its error stays. Their names stand in "
     "slimmargin sweep --help."},
    {SM_TERMS_WORDS, "STJ|sinotubular junction",
     "The rim where the sinuses end and the ascending aorta begins. If the tube reaches it with little room around, "
     "the sinus below is sealed. Its height and its gap are read on each side apart."},
    {SM_TERMS_WORDS, "sinus without a coronary|third sinus|non-coronary sinus",
     "A side with \"ostium\": false: no coronary leaves it, and it is read at the junction alone, without "
     "ostium_height "
     "and ostium_gap. How often it is sealed is told beside the answer and never in it, since that starves no artery. "
     "It says whether blood can still flow around the tube there."},
    {SM_TERMS_WORDS, "ostium",
     "The mouth of a coronary artery in the wall of its sinus. Its lower edge is what the tube reaches first, so its "
     "height is read there. As a key of a side: false where no coronary leaves the sinus, see sinus without a "
     "coronary."},

    /* 2. What is computed */

    {SM_TERMS_OUTPUTS, "ostium_clearance_mm|ostium clearance|room beside the ostium",
     "As an output: the true room between tube and ostium on one side, as a spread in mm. As a key of limits: the room "
     "below which that ostium counts as crowded, if the tube reaches it. The output already contains flare, stand-off, "
     "thick leaflets and the lean of the new valve."},
    {SM_TERMS_OUTPUTS, "stj_clearance_mm|STJ clearance|room at the sinotubular junction",
     "As an output: the true room between tube and sinotubular junction on one side, as a spread in mm. As a key of "
     "limits: the room below which that sinus counts as sealed, if the tube reaches the junction. The output already "
     "contains flare, stand-off, thick leaflets and the lean of the new valve."},
    {SM_TERMS_OUTPUTS, "conventional_ostium_mm|room beside the ostium by the drawn circle",
     "The true distance in mm from the drawn circle to the ostium on one side. It contains the errors of reading, "
     "plane and axis but nothing of what the tube takes. It is for comparison with the usual way and decides nothing."},
    {SM_TERMS_OUTPUTS, "conventional_stj_mm|room at the sinotubular junction by the drawn circle",
     "The true distance in mm from the drawn circle to the sinotubular junction on one side. It contains the errors of "
     "reading, plane and axis but nothing of what the tube takes. It is for comparison with the usual way and decides "
     "nothing."},
    {SM_TERMS_OUTPUTS, "cover_mm|cover|tube above the lower edge of the ostium",
     "How far the tube stands above the lower edge of the ostium, in mm. Above 0 the tube covers that edge; below 0 "
     "the tube ends lower and the ostium cannot be crowded. It depends on the leaflets, on the frame and on how deep "
     "the valve sits."},
    {SM_TERMS_OUTPUTS, "reach_mm|reach|tube above the sinotubular junction",
     "How far the tube stands above the sinotubular junction, in mm. Above 0 the tube reaches the junction; below 0 "
     "the sinus stays open at its top and cannot be sealed. It depends on the leaflets, on the frame and on how deep "
     "the valve sits."},

    /* 3. Commands */

    {SM_TERMS_COMMANDS, "assess",
     "Says how probable it is that each limit is truly crossed, with the rooms and all that they rest on. It reads one "
     "case, draws many roots that would read like it, and counts. Start with this command."},
    {SM_TERMS_COMMANDS, "recheck",
     "Ranks the measurements that could be made again by what that would spare, and says which are not worth the time. "
     "It needs an action line in the case, because a re-check matters only if it can change what you do. It also tells "
     "what no measurement can take away."},
    {SM_TERMS_COMMANDS, "report",
     "Puts assessment, re-checks, figures and assumptions on one page to read, print and send. The page needs no "
     "network and no other file. It says the same numbers as the commands on the terminal."},
    {SM_TERMS_COMMANDS, "weigh",
     "Sets the alternatives of a case side by side: what each leaves of the risk, and what doing it costs. All of them "
     "are computed on the same drawn roots, so that differences are not chance. Burdens are yours to state."},
    {SM_TERMS_COMMANDS, "sweep",
     "Moves one assumption or reading through a range and shows how the probability follows. It says where the call "
     "would change, or that it would not. The same random numbers are used at every step, so that the curve is "
     "smooth."},
    {SM_TERMS_COMMANDS, "compare",
     "Sets two cases side by side: what changed in the files and what each change did to the probability. Use it "
     "before and after measuring again. Both are computed on the same random numbers."},
    {SM_TERMS_COMMANDS, "check",
     "Reads a case with its profile and tells every fault with file, line and place. It computes nothing. A case "
     "without faults gives status 0."},
    {SM_TERMS_COMMANDS, "selfcheck|self-check",
     "Lets the installed program compute answers that are known from publications or in closed form. It shows that "
     "this copy on this computer still works as it should. Keep its table with your records."},
    {SM_TERMS_COMMANDS, "defaults",
     "Lists every built-in default with unit, grade, range and source. These are the values in force where neither the "
     "case nor the site profile states one. Read it before you trust an answer that rests on many of them."},
    {SM_TERMS_COMMANDS, "learn",
     "Learns from repeated readings of your own readers how far they differ, in words and tables. It can write the "
     "result into a site profile, which later cases name. A study of a dozen scans, three readers and two repeats "
     "serves well."},
    {SM_TERMS_COMMANDS, "new",
     "Makes a case: by questions on a terminal, as a form to fill in, from a spreadsheet, or from points. Every "
     "answer is checked at once by the same rules as check uses. A form that is not filled in is refused by every "
     "command."},
    {SM_TERMS_COMMANDS, "explain",
     "Explains a key, a source, an output, an option or a word of the reports in three sentences. Unknown words are "
     "answered with the nearest known ones. Without a word it lists all that it knows."},

    /* 4. Options */

    {SM_TERMS_OPTIONS, "--trials",
     "How many roots to draw. More of them make the answer of the run more exact and take longer. They do not make "
     "readings or assumptions any better."},
    {SM_TERMS_OPTIONS, "--seed",
     "Where the random numbers start. The same file, seed, trials and version give the same bytes again. Another seed "
     "shows how far chance in the run moves the answer."},
    {SM_TERMS_OPTIONS, "--points",
     "Where the probabilities come from: sharp (unless you say otherwise) takes the mean over well-placed points at "
     "which the errors of each landmark's own readings are summed up exactly, plain counts trials. Both are the same "
     "probabilities, but counted ones err about twice as much or more; points picked in a scan are another thing "
     "(--from-points). Pictures, means and intervals of lengths come from the trials either way."},
    {SM_TERMS_OPTIONS, "--until-resolved",
     "Goes on drawing until the answer is clear of your line, or until the cap. It uses intervals that stay valid "
     "however often they are looked at. Status 4 says that the cap came first."},
    {SM_TERMS_OPTIONS, "--cap",
     "The most trials that --until-resolved may draw. It keeps a case that lies on the line from running for ever. "
     "It has no meaning alone."},
    {SM_TERMS_OPTIONS, "--threads",
     "How many processors to use. It changes the time and nothing else. The results are the same bytes for any "
     "number."},
    {SM_TERMS_OPTIONS, "--json",
     "Writes the whole result as a JSON file for other programs. With - it goes to standard output, alone. Its keys "
     "are described in docs/case-format.md."},
    {SM_TERMS_OPTIONS, "--csv",
     "Writes the numbers as a table for a spreadsheet, one a line. They are the same numbers as in the text. Decimal "
     "points are points."},
    {SM_TERMS_OPTIONS, "--figures",
     "Writes the figures as files into a folder. They are the figures of the report page. They can be used in a talk."},
    {SM_TERMS_OPTIONS, "-o",
     "Writes the report as one HTML page. The page needs no network and no other file. Any browser opens and prints "
     "it."},
    {SM_TERMS_OPTIONS, "--profile|profile",
     "A site profile: a file with the errors and settings of your own site, used by every case that names it. In a "
     "case the key profile holds its path as seen from the case; as an option of learn it is the file to make or "
     "update. What a case states itself comes first."},
    {SM_TERMS_OPTIONS, "--plane",
     "Says for a reader study whether all readers measured from one base plane or each set it anew. The readings alone "
     "cannot tell. It decides whether the learned errors already contain the error of the plane."},
    {SM_TERMS_OPTIONS, "--replace",
     "Lets learn put a smaller reader study in the place of a larger one in a site profile. Without it both are named "
     "and the profile stays as it is. A larger study has more cases, readers or readings."},
    {SM_TERMS_OPTIONS, "--accept",
     "Lets learn write a site profile although readings do not fit with the others. Such readings are often typed "
     "wrong and make every error larger. Look each up first; the profile then says how many were accepted."},
    {SM_TERMS_OPTIONS, "--no-context",
     "Leaves out what published series say of a reading like this. Those series compare groups that differ in more "
     "than the treatment. The computed numbers stay the same."},
    {SM_TERMS_OPTIONS, "--vary",
     "Which assumption or reading a sweep moves, from where to where, and in how many steps. It is written "
     "WHAT=FROM:TO "
     "or WHAT=FROM:TO:STEPS. Given twice, it makes a grid."},
    {SM_TERMS_OPTIONS, "--all",
     "Sweeps every assumption over its own range, one at a time. The list is ranked by how far each moves the "
     "answer. It shows whether any of them could turn the call at all."},
    {SM_TERMS_OPTIONS, "--from-csv",
     "Makes cases from a spreadsheet, one a row, into a folder. The header names the keys, as described in "
     "docs/new.md. "
     "One bad row is reported with its line, and then nothing at all is written."},
    {SM_TERMS_OPTIONS, "--from-points|base_1|axis_top|azimuth_0|ring_centre",
     "Makes a case of points that were picked in the scan and written as a table with label, x, y and z. Heights, gaps "
     "and azimuths are computed from them, so that no number is typed; the files of two readers become readings of two "
     "readers. Its labels stand in docs/new.md: base_1 to base_3, axis_top, left.ostium, left.junction and so on."},
    {SM_TERMS_OPTIONS, "--axes|lps|ras",
     "Says how the coordinates of points run: in lps x grows to the patient's left and y to the back, in ras x to the "
     "right and y to the front, and z to the head in both. A file may say it itself. What would turn or mirror the "
     "root is refused where the "
     "ostia show it."},
    {SM_TERMS_OPTIONS, "--onto",
     "A case or a form that gives all that points cannot: the surgical valve, the new valve, limits. Its readings are "
     "replaced by those of the points and the rest is kept. The file itself stays as it is."},
    {SM_TERMS_OPTIONS, "--template",
     "Writes a case as a form with a blank in every place that must be filled in, and beside it a text that explains "
     "every key. A blank is the word null, and every command refuses a case that holds one. So a form can never be "
     "taken for a real case."},
    {SM_TERMS_OPTIONS, "--plain",
     "Prints sentences without drawings or colour. It is meant for screen readers. The numbers are the same."},
    {SM_TERMS_OPTIONS, "--quiet",
     "Prints the answer in a sentence or two with the caution, and no more. It suits lists of many cases. The result "
     "file is "
     "still whole."},
    {SM_TERMS_OPTIONS, "--help",
     "Prints what a command does and which options it takes. It works for the program and for each command. Nothing is "
     "computed."},
    {SM_TERMS_OPTIONS, "--version",
     "Prints the version of the program. Give it whenever you report a number or a fault. The result file names it as "
     "well."},

    /* 5. The case */

    {SM_TERMS_CASE, "format",
     "The first key of a file: which kind of file it is. A case says slimmargin-case-1, a site profile "
     "slimmargin-profile-1. It keeps a wrong file from being read as a case."},
    {SM_TERMS_CASE, "case|case name",
     "The name by which reports call this case: letters, digits, dots, hyphens and underscores. It must not identify "
     "the patient: no name, no birth date, no record number. Keep the key to it where your site keeps such things."},
    {SM_TERMS_CASE, "note",
     "One line of free text that is printed at the top of the report. It must not identify the patient. A text that "
     "looks like a date or a long number is warned of."},
    /* Words of the trade that lead to ours. */
    {SM_TERMS_WORDS,
     "virtual valve to coronary distance|VTC|virtual valve to coronary|valve to coronary distance|"
     "valve-to-ostium distance",
     "The distance, on a CT, from a drawn circle of the new valve's size to the wall at a coronary ostium. Here it is "
     "the "
     "ostium gap (ostium_gap), read from the circle that the case states (circle_mm); see circle and conventional "
     "clearance. What the tube of leaflets truly leaves is the clearance, mostly less."},
    {SM_TERMS_WORDS,
     "virtual valve to junction distance|VTSTJ|VTSJ|virtual valve to sinotubular junction|"
     "valve to sinotubular junction distance",
     "The same distance at the height of the sinotubular junction. Here it is the STJ gap (stj_gap), and stj_height is "
     "where it was read. A narrow one matters where the leaflets reach that high: see sealed sinus and reach."},
    {SM_TERMS_WORDS, "risk plane",
     "The height up to which the pinned-open leaflets stand as a wall. Here it is computed for every root from "
     "leaflet_height, the frame's top and the skirt. An ostium above it is not crowded: see cover, and reach for the "
     "junction."},
    {SM_TERMS_WORDS, "sequestration|sinus sequestration",
     "A sinus closed off at its top, so that no blood comes to the ostium however much room there is beside it. Here "
     "its "
     "geometry is the sealed sinus: the tube reaches the junction and leaves less than the limit there. See sealed "
     "sinus."},
    {SM_TERMS_WORDS, "chimney|snorkel|chimney stent|snorkel stent|stent beside the valve",
     "A stent from the coronary up beside the new valve, mostly parked beforehand and pulled back if needed. In a case "
     "it "
     "is an alternative with rescue: a share of that side's crossed limits that it makes good, and its burden. See "
     "rescue and alternatives."},
    {SM_TERMS_WORDS, "unusual|slip|typing error",
     "A number that is possible and yet not what one expects, such as a leaflet height of 1.3 mm, which was surely "
     "meant in centimetres. It is asked about before all else, with what is usual and the likely slip. If it was "
     "meant, "
     "name it under confirmed in the case."},
    {SM_TERMS_WORDS, "read as",
     "The paragraph that says back what the case states: how leaflets are mounted, how the new valve expands, and the "
     "readings of each side. No rule can see that a design class was typed wrongly; only you can, by reading it. It "
     "stands near the top of assess, recheck, weigh and sweep, and in check."},
    {SM_TERMS_CASE, "confirmed",
     "A list of numbers of this case that are unusual and yet meant, by name, as left.ostium_height. A number that is "
     "possible but unusual is asked about first on every output, with the slip that is likely; the name here ends "
     "that. What is confirmed is printed as such and stays in the result."},
    {SM_TERMS_CASE, "looks|planned looks|minutes",
     "What could really be looked at before anyone acts: a list of looks, each with a name, how many readers, its "
     "burden and minutes, and what it does. recheck ranks them by the untreated events that they spare less their "
     "burden. Where a case lists none, the usual ones are offered; looks of a result are second looks already made."},
    {SM_TERMS_CASE, "again",
     "A look in which others read the same scan once more: names of readings, or all. With plane true each of them "
     "places the base plane and the centre anew; else they read in the plane that stands. What they would read is "
     "simulated from what may be true."},
    {SM_TERMS_CASE, "rescan|another scan",
     "A look by another scan: everything that was read is read again, in planes of its own and with a blooming of its "
     "own. Its value holds what differs from the scan of the case, as a photon-counting detector. An empty one is "
     "the same scanner once more."},
    {SM_TERMS_CASE, "project|angiogram",
     "A look by an angiogram in the view that shows one gap. It errs by its reader, its scale and its view "
     "(reader_sd_mm, magnification_sd, view_error_sd_deg), as a second look does. What it would read becomes a rule "
     "for "
     "the table: act if it reads below so many mm."},
    {SM_TERMS_CASE, "direct|sd_mm",
     "A look that measures the inner diameter, the leaflet thickness or a leaflet height itself, as a bench value or "
     "an "
     "echo. sd_mm says by how much it errs and must be stated. A larger diameter means more risk, so its rule is to "
     "act above a value."},
    {SM_TERMS_CASE, "bundle|several looks",
     "Several looks together, by the names of looks that stand before it. It shows what all of them show. Unless it "
     "states a burden and minutes of its own, those of its parts are added up."},
    {SM_TERMS_WORDS, "net worth|look then act|policies|four ways",
     "Worth less burden: what a look spares, in untreated events, less the harm of looking. Beside it stand four ways "
     "to go on: as planned, act now, look and then act on it, and know everything. Where looking costs more than it "
     "spares, that is said."},
    {SM_TERMS_CASE, "patient_axes|edge_on_deg|profile view|view_deg|on_screen|base_points_mm|ostia_mm",
     "How the valve lies in the patient, from CT: two views in which the ring is edge-on and one that has a named side "
     "in "
     "profile, or three base points and the ostia in mm. From it the C-arm view that shows each gap is computed. "
     "on_screen says at which side of the picture the side in profile stands."},
    {SM_TERMS_CASE, "gantry|rao_deg|lao_deg|caudal_deg|cranial_deg|C-arm",
     "How far the C-arm reaches from the patient's front, to the right (RAO), the left (LAO), the feet and the head. A "
     "view beyond it is not offered; the nearest within it is, with what it misses. The defaults are a judgement: "
     "state what your laboratory has."},
    {SM_TERMS_WORDS, "projection|projections|foreshortening|edge-on",
     "The view in which the ring is seen as a line and the gap at its true length, as primary and secondary angle. By "
     "how much a view misses it stands in degrees and in mm. On the table the view found differs from the one "
     "foretold, mostly by 9 to 10 degrees."},
    {SM_TERMS_CASE, "reference_thickness_mm|reference thickness",
     "The leaflet thickness that the published limits already contain. Only what the old leaflets are thicker than "
     "this takes room. It is known from memory only and graded so."},
    {SM_TERMS_CASE, "reference_blooming_mm|reference blooming",
     "How much blooming the readings behind the published limits already had, in mm for each edge. With 0 the limits "
     "are taken to speak of the true room. State it only if you hold that those series read bloomed edges as well."},
    {SM_TERMS_CASE, "published_set|preset",
     "Which published limits hold unless the case states its own. planning is 4 mm at the ostium and 2 at the "
     "junction, "
     "as series before an implant have them; after_implant is 3 and 1 mm, the room that CT found after implants in "
     "which an ostium was completely threatened. The sealed sinus of that series needed a junction lower than the "
     "leaflet as well."},
    {SM_TERMS_CASE, "basis",
     "What the limits refer to: the tube, which is the physical room, or the circle as drawn. With drawn_circle the "
     "room that the waist of the ring gives back is withheld. The choice is a matter of judgement and stands in the "
     "report."},

    {SM_TERMS_WORDS, "obstruction|obstructed|artery",
     "What published series of the same operation make of the true gaps of this run: how many would have been "
     "obstructed "
     "if those few, chosen patients carry over. It stands beside the probability that a limit is crossed, with a wide "
     "interval, for comparison; nothing is called or weighed by it. The series do not cover a sealed sinus."},
    {SM_TERMS_CASE, "population",
     "How common true gaps are among patients like this one, for comparison. The answer itself takes every true gap as "
     "equally likely before it was read; a second number says what it would be among these patients. It never enters "
     "the call."},
    {SM_TERMS_CASE, "population.ostium_gap_mm|ostium_gap_mm",
     "The distribution of the true gap between drawn circle and wall at an ostium among such patients. The default is "
     "the published group without obstruction, its reading error taken off. Each trial is weighted by it, every side "
     "by itself."},

    /* 6. The scan */

    {SM_TERMS_SCAN, "scan",
     "What is known of the CT scan: detector, kernel, blooming, base plane and axis. All of it may be left out, and "
     "then built-in defaults stand in. Everything here is shared by all readings of the scan."},
    {SM_TERMS_SCAN, "detector",
     "With what detector the scan was made: energy_integrating, photon_counting (its standard mode) or "
     "photon_counting_high_resolution. It decides how much bright edges bloom unless the case states that itself. It "
     "describes the scan that was made: changing it does not ask what another scan would show."},
    {SM_TERMS_SCAN, "kernel",
     "The reconstruction kernel, soft or sharp. A sharp one blooms less. It only chooses the default of the blooming."},
    {SM_TERMS_SCAN, "blooming|blooming_mm",
     "Bright edges, of metal or calcium, appear displaced outward on CT, and this is by how much, in mm for each edge. "
     "One true value is drawn for the whole scan, and each reading responds to it as its bloom_edges says. A gap that "
     "ends on a bright edge reads short, so the true room is a little larger."},
    {SM_TERMS_SCAN, "base_plane|base plane",
     "The plane through the lowest points of the surgical valve, from which every height is measured. Its error is "
     "shared by all readings of the scan: a tilt makes one side read high and the other low. As a source it stands "
     "for placing the plane again."},
    {SM_TERMS_SCAN, "radius_mm",
     "How far from the centre the reader picked the three base points. The smaller it is, the more the same error of a "
     "point tilts the plane. The default is half the inner diameter."},
    {SM_TERMS_SCAN, "azimuths_deg",
     "In which directions the three base points were picked, counter-clockwise seen from the aorta. They must stand "
     "well apart, or the plane is not held. The default is a third of the circle between each two."},
    {SM_TERMS_SCAN, "point_sd_mm",
     "How far the reader misses each base point in height, as a standard deviation. It becomes tilt and level of the "
     "plane. Readers who place the plane again show how large it is."},
    {SM_TERMS_SCAN, "cuff_wave_mm|cuff wave|cuff",
     "The sewing cuff is tied down into a wave with three crests, and this is its height. Points picked a third of the "
     "circle apart meet the wave alike, so the whole plane is lifted or lowered. The reader cannot know at which phase "
     "the points were picked."},
    {SM_TERMS_SCAN, "placements",
     "How often the plane was placed anew and averaged, by several readers or in several sessions. More placements "
     "make its error smaller. Reading twice in the same plane does not count."},
    {SM_TERMS_SCAN, "tilt_sd_deg|tilt",
     "The tilt of the base plane about each axis, as a standard deviation in degrees. It is the other way to state the "
     "error of the plane, together with level_sd_mm. It excludes the keys that speak of base points."},
    {SM_TERMS_SCAN, "level_sd_mm",
     "The error of the level of the base plane, as a standard deviation in mm. It goes with tilt_sd_deg. It shifts all "
     "heights of the scan together."},
    {SM_TERMS_SCAN, "centreline|centreline_sd_mm|axis",
     "How far the reader's axis misses the true centre of the valve, as a standard deviation for each direction. It "
     "makes one side read wide and the opposite side narrow. As a source it stands for centring the axis again."},

    /* 7. The failed surgical valve */

    {SM_TERMS_VALVE, "surgical_valve|surgical valve",
     "What is known of the failed surgical valve: its mount, ring and leaflets. Two keys must be stated, the others "
     "have defaults. Describe it by its design and not by its maker."},
    {SM_TERMS_VALVE, "leaflet_mount|mount|external|internal|stentless",
     "Where the old leaflets are mounted: internal to the posts, external to them, or stentless without posts. "
     "Leaflets mounted outside stand off from the new frame and take room. The operation note or the design of the "
     "valve tells."},
    {SM_TERMS_VALVE, "inner_diameter_mm|inner_diameter|inner diameter",
     "The true inner diameter of the surgical ring, which holds the new valve. A bare number is taken as exact; with "
     "a standard deviation it is uncertain, and as a reading it gets reader error and blooming. It is not the size "
     "on the label."},
    {SM_TERMS_VALVE, "ring_height_mm",
     "How far above the base plane the ring holds the new valve tightest. Above it the frame may flare. It must lie "
     "below the top of the frame."},
    {SM_TERMS_VALVE, "ring_give_mm|ring_give|ring give",
     "How much the ring gives way when the new valve is expanded, in mm of diameter. A rigid ring hardly does; a valve "
     "without a stent does. Nobody can know it before the procedure."},
    {SM_TERMS_VALVE, "eccentricity",
     "How far the ring is from round: largest less smallest diameter, over their mean. An oval ring brings the tube "
     "nearer to the wall in some directions. As a source it stands for tracing the outline, with its direction."},
    {SM_TERMS_VALVE, "leaflet_thickness_mm|leaflet_thickness|leaflet thickness",
     "How thick the old leaflets are. What is thicker than an ordinary leaflet takes room from the clearance. It may "
     "be read on the scan; bright leaflets then read too thick."},
    {SM_TERMS_VALVE, "mount_offset_mm|mount_offset|stand-off",
     "How far leaflets mounted outside stand off from the new frame at a post. The tube is wider by so much there "
     "and by less between posts. It is 0 for leaflets mounted inside."},
    {SM_TERMS_VALVE, "mid_fraction|mid",
     "Which share of the stand-off is left half way between two posts. It matters for ostia that face the middle of a "
     "leaflet. Nobody can know it before the procedure."},
    {SM_TERMS_VALVE, "leaflet_overhang_mm|leaflet_overhang|overhang",
     "How much free leaflet above the new frame still stands as a wall. Longer leaflets than this fold away. It "
     "decides how high the tube can stand."},
    {SM_TERMS_VALVE, "post_azimuth_deg|post_azimuth|post|posts",
     "In which direction one of the posts stands, or unknown. Posts are often invisible on CT, and then any "
     "direction is equally likely. A post near an ostium means more stand-off there, and a leaflet that cannot "
     "usefully be split."},
    {SM_TERMS_VALVE, "post_block_deg",
     "Within which angle of the ostium a post makes splitting the leaflet useless. A post cannot be split. It "
     "matters only for alternatives with laceration."},

    /* 8. The new valve */

    {SM_TERMS_IMPLANT, "implant|new valve",
     "What is known of the new valve and how it will be placed. Its kind, sizes and depth must be stated, the others "
     "have defaults. Describe it by its design and not by its maker."},
    {SM_TERMS_IMPLANT, "expansion|balloon|self",
     "How the new valve expands: by a balloon, or by itself. It chooses the defaults of over-expansion, shape and "
     "flare. Nothing else depends on it."},
    {SM_TERMS_IMPLANT, "nominal_diameter_mm|nominal diameter",
     "The diameter of the new valve when nothing holds it. The surgical ring holds it smaller, and what is withheld "
     "may come back above the ring as flare. A larger one is wider above the ring."},
    {SM_TERMS_IMPLANT, "frame_height_mm",
     "The height of the new valve's frame once expanded. Less its depth, it says how high the frame stands in the "
     "root. Leaflets are held up to the top of the frame."},
    {SM_TERMS_IMPLANT, "skirt_height_mm|skirt",
     "The height of the closed skirt on the frame, from the frame's bottom. The skirt is a wall of its own even "
     "if a leaflet is split or short. It is never above the height of the frame."},
    {SM_TERMS_IMPLANT, "implant_depth_mm|implant_depth|depth",
     "How far the frame's bottom will sit below the base plane. It is a plan and will not be met exactly, so give it a "
     "spread such as 4 +- 1. A deeper valve makes a lower tube."},
    {SM_TERMS_IMPLANT, "overexpansion",
     "How far the expanded valve departs from its nominal diameter, as a share of it. A balloon may open it a little "
     "more or less than planned. Nobody can know it before the procedure."},
    {SM_TERMS_IMPLANT, "flare",
     "Which share of the expansion that the ring withholds comes back at the frame's top. It widens the tube above the "
     "ring, the more so the larger the new valve is for the ring. No published number was found: treat it as a guess."},
    {SM_TERMS_IMPLANT, "canting_sd_deg|canting",
     "How much the new valve will lean, as a standard deviation for each axis in degrees. A leaning tube comes "
     "nearer to one wall the higher it stands. Nobody can know it before the procedure."},
    {SM_TERMS_IMPLANT, "offset_sd_mm|offset",
     "How far off centre the new valve will sit, as a standard deviation for each axis in mm. It takes room on one "
     "side and gives it on the other. Nobody can know it before the procedure."},
    {SM_TERMS_IMPLANT, "shape|waisted",
     "The outline of a frame that is not straight: points of height and diameter, both relative. Between the points it "
     "runs straight. Left out, a frame that expands itself is a cylinder, and one that a balloon expands is a little "
     "wider at its top."},

    /* 9. Coronaries */

    {SM_TERMS_CORONARY, "coronaries|coronary|side",
     "The coronary ostia of this case by name, most often left and right. Each has a direction, a drawn circle and "
     "five readings. An ostium that was not measured is left out, and nothing is then said of it."},
    {SM_TERMS_CORONARY, "azimuth_deg|direction",
     "In which direction the ostium stands, in degrees counter-clockwise as seen from the aorta. Any zero will do as "
     "long as ostia, posts and base points share it. It decides how a tilted plane or a leaning valve acts on this "
     "side; that is little while posts are unknown, and left out for left and right together it is taken as judged, "
     "with "
     "a warning."},
    {SM_TERMS_CORONARY, "leaflet_length_mm|leaflet length",
     "The length of the leaflet that faces this side, as some reports have it in place of the height of its top. Its "
     "top "
     "is then taken at the ring's height and this length above the base plane, as one reading by one reader. State "
     "leaflet_height if you can: the height of the ring is mostly judged."},
    {SM_TERMS_CORONARY, "sinus_width_mm|sinus width",
     "The width of the sinus at this ostium, from wall to wall through the middle, in mm. It may be stated to guard "
     "the "
     "gap: gap and half the circle should be about half of it, and the program asks if they are not. It enters no "
     "answer."},
    {SM_TERMS_CORONARY, "circle_mm|circle",
     "The diameter of the circle that the reader drew for the planned valve, from which the gaps were read. Gap and "
     "half of it together tell where the wall is; for points, --circle says it. A circle larger than the valve in its "
     "ring gives room away, and the program warns of it."},
    {SM_TERMS_CORONARY, "ostium_height|height of the ostium",
     "The height of the lower edge of the ostium above the base plane, read on CT in mm. It decides with the tube's "
     "height whether the ostium is reached at all. A bare number is one reading by one reader and gets that reader's "
     "error."},
    {SM_TERMS_CORONARY, "ostium_gap|gap beside the ostium|gap",
     "The distance from the drawn circle to the wall at the ostium, read on CT in mm and square to the axis. It is "
     "the reading on which a crowded ostium mostly rests. State bloom_edges -1 if it ends on a calcified wall or "
     "starts at a bright edge."},
    {SM_TERMS_CORONARY, "stj_height|height of the sinotubular junction",
     "The height of the sinotubular junction above the base plane on this side, read on CT in mm. It decides with the "
     "tube's height whether the junction is reached. It cannot lie clearly below the ostium of the same side."},
    {SM_TERMS_CORONARY, "stj_gap|gap at the sinotubular junction",
     "The distance from the drawn circle to the wall at the sinotubular junction, read on CT in mm. It is the "
     "reading on which a sealed sinus mostly rests. State bloom_edges -1 if it ends on a calcified wall."},
    {SM_TERMS_CORONARY, "leaflet_height|height of the leaflet top",
     "The height of the top of the old leaflet above the base plane on this side, read on CT in mm. It says how high "
     "the tube can stand. The top of a bright leaflet reads a little too tall."},

    /* 10. Readings */

    {SM_TERMS_READING, "readings_mm|readings|reading|reader",
     "The readings of one quantity, listed for each reader: {\"A\": [8.0, 8.3], \"B\": [8.5]}. More readers make the "
     "error smaller than more readings by the same one. Names of readers are letters or initials that you choose "
     "(--reader for files of points)."},
    {SM_TERMS_READING, "between_reader_sd_mm|SD between readers",
     "How far one reader differs from another on the same scan, as a standard deviation. More readings by the same "
     "reader do not make it smaller. It comes from the case, the site profile or the defaults, in this order."},
    {SM_TERMS_READING, "repeat_sd_mm|SD of a repeat",
     "How far the same reader differs from day to day, as a standard deviation. Reading again makes its share "
     "smaller. It comes together with between_reader_sd_mm from one place."},
    {SM_TERMS_READING, "dof|degrees of freedom",
     "How well the standard deviations of the readers are known, as degrees of freedom of the study behind them. Few "
     "of them give wider tails. learn writes them into the site profile."},
    {SM_TERMS_READING, "reader_sd_mm|reader SD",
     "How far a reading of the other modality is off, as a standard deviation. In the table of defaults it also "
     "names the whole error of one CT reading, half of its variance between readers and half between repeats. A site "
     "profile can replace both."},
    {SM_TERMS_READING, "sd_from_readings",
     "Takes the error from the scatter of the readings of this case. It needs at least four readings of the quantity; "
     "if "
     "all are by one reader, the SD between readers is added, which one reader cannot show. Few readings then give "
     "wide "
     "tails, as they should."},
    {SM_TERMS_READING, "sd_includes_plane",
     "Says that the standard deviations come from readers who each placed the base plane anew. The error of the "
     "plane is then taken off them, so that it is not counted twice. It needs standard deviations stated in the same "
     "place."},
    {SM_TERMS_READING, "bloom_edges|bright edge",
     "How a reading responds to blooming: by how many bloomed edges it moves, with sign. A gap between contrast and "
     "soft wall has 0; a gap that ends on a calcified wall or starts at bright leaflets or posts reads short and has "
     "-1. Look at the scan and state it, because it can move the answer."},
    {SM_TERMS_READING, "resolution_mm|resolution",
     "The full width of an extra error for the grain of the scan. It is off by default because the readers' errors "
     "already contain it. State it only with errors from a study that did not."},
    {SM_TERMS_READING,
     "cross_check|cross-check|ostium_gap.cross_check|stj_gap.cross_check|leaflet_height.cross_check|"
     "inner_diameter.cross_check|leaflet_thickness.cross_check|second look|second looks|look|bench value",
     "A second look at a number of the case: a gap by another modality, or a direct measurement of the leaflet height, "
     "the ring's inner diameter or the leaflets' thickness. The two are never averaged: every trial counts by how "
     "well it agrees with the look. Each of three possibilities has a probability: both are "
     "right, the look is about something else, or the CT reading is about something else."},
    {SM_TERMS_READING, "spoiled",
     "How probable it is that one of the two readings of a second look is about something else: a wrong landmark, a "
     "wrong view, a slip of typing. It holds for each of the two alone, both at once is neglected, and such a reading "
     "may lie anywhere that the quantity can. It is a judgement from 0.01 to 0.2, 0.05 unless stated, and never 0."},
    {SM_TERMS_READING, "modality|fluoroscopy|echo|bench|ct",
     "By what a quantity was read a second time. A gap is seen in projection, on fluoroscopy or echo, which chooses "
     "the default errors of that look; a leaflet height, an inner diameter or a thickness is measured directly, by a "
     "bench value, echo or another CT scan (ct), and then the SD of such a reading must be stated. Other modalities "
     "are not known to the program."},
    {SM_TERMS_READING, "magnification_sd|cross_check_calibration|calibration",
     "How well the scale of the other modality's picture is known, as a share. One error of scale is shared by all "
     "cross-checks of the case. As a source it stands for calibrating the picture again."},
    {SM_TERMS_READING, "view_error_sd_deg",
     "By which angle the view of the other modality misses the right plane, as a standard deviation. A missed view "
     "makes the gap look short. Each look has its own."},

    /* 11. Alternatives */

    {SM_TERMS_ALTERNATIVES, "alternatives|alternative|as planned",
     "Other ways to do it: another valve or depth, a split leaflet, a protected artery. Each is computed on the same "
     "drawn roots as the plan, so that differences are not chance. As planned is the case itself."},
    {SM_TERMS_ALTERNATIVES, "name",
     "What an alternative is called in the reports. Each needs its own. It describes what is done and names no "
     "patient and no maker."},
    {SM_TERMS_ALTERNATIVES, "burden",
     "The harm of doing an alternative, in units of one untreated event. It is yours to state, from what you know of "
     "that step. With 0 the alternative is taken as free of harm, which few are."},
    {SM_TERMS_ALTERNATIVES, "lacerate|laceration|leaflet laceration|leaflet splitting",
     "Splits the leaflet that faces a side, with the probability that this succeeds. The leaflet then forms no wall "
     "there, unless a post stands in front of the ostium. The skirt of the new frame stays."},
    {SM_TERMS_ALTERNATIVES, "rescue",
     "Saves a side whose limit is crossed, with the stated probability, for example by a parked wire and stent. The "
     "crossing itself stays as probable as it was. What is left is called the unrescued event."},
    {SM_TERMS_ALTERNATIVES, "unrescued|harm in all|least harm|harm|expected cost|cost|cheapest",
     "An unrescued event is a crossed limit that no rescue saves. The harm in all, or expected cost, is the burden of "
     "the alternative and the probability of an unrescued event together. Both are in units of one untreated event; "
     "money does not enter."},

    /* 12. Profile and distributions */

    {SM_TERMS_PROFILE, "site",
     "The name of the site in a site profile. It helps you to tell profiles apart and names no patient. learn writes a "
     "first one that you rename."},
    {SM_TERMS_PROFILE, "readers",
     "The errors of your own readers in a site profile, one entry for each quantity. learn writes them from a study. A "
     "case that states its own comes first."},
    {SM_TERMS_PROFILE, "value",
     "The value of a setting in a site profile, beside its source. Any optional key of a case may stand there. What "
     "a case states itself comes first."},
    {SM_TERMS_PROFILE,
     "distribution|normal|uniform|triangular|lognormal|constant|half_normal|student_t|arcsine|"
     "truncated_normal|beta",
     "A spread in place of one number: a family with named parameters, such as {\"normal\": {\"mean\": 22.3, \"sd\": "
     "0.3}}. It says what you know and how well. A bare number is exact, except inside coronaries, where it is a "
     "reading."},
};

static const char *const titles[] = {
#define TITLE(group, title) title,
    SM_TERM_GROUP_LIST(TITLE)
#undef TITLE
};

size_t sm_terms(const sm_term **out)
{
    *out = terms;
    return sizeof terms / sizeof *terms;
}

const char *sm_term_group_title(sm_term_group g)
{
    return (unsigned)g < SM_TERM_GROUPS ? titles[g] : "";
}
