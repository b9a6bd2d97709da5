"""Wrong words behind a command: a clear sentence, the exit code of its kind, and nothing written."""

import shlex
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from rotary.cli import main
from rotary.machine.store import machine_path
from rotary.shipped import FIRST, examples, machine_folder

WRONG = """
2 plan F --sampels 3 => no option --sampels. Did you mean --samples?
2 plan F --dryrun => Did you mean --dry-run?
2 plan --jsn F => no option --jsn. Did you mean --json?
2 print setup --papr A4 F => no option --papr. Did you mean --paper?
2 plan F --samples many => --samples must be a whole number from 0
2 plan F --samples -1 => --samples must be a whole number from 0 to 100000 (got -1)
2 plan F --samples 1e9 => a whole number from 0
2 plan F --samples 1 --samples 2 => --samples is written twice
2 plan F --samples => --samples has no value: write one after it. What it is for: how many random
2 plan F more => leave out "more", or put words that belong together in quotes
2 plan F --error-budget --suggestions => can't be used together
2 weld => no command "weld": write open, plan
2 save F => Did you mean "rotary profile save"?
2 profile lst => Did you mean "rotary profile list"?
2 profile rm mug => Did you mean "rotary profile delete"?
2 depth add => Did you mean "rotary depth record"?
2 print setup F --paper A5 => --paper can't be A5: write A4 or Letter
2 plan regata-bottle => did you mean "regatta-bottle"?
4 plan missing.toml => there is no missing.toml
4 plan . => is a folder
4 plan F --to . => . is a folder
4 plan F --to .. => is a folder
4 plan F --to no/such/place.txt => there is no folder no/such
2 plan F --to ' ' => --to needs the name of a file or folder
2 plan F --machine nope => no machine "nope": to add a machine write rotary machine new
2 machine show nope => no machine "nope"
2 machine record field axis=x drawn=140 'measured=139.6 mm' => 140 has no unit
2 profile list --at-most 90 => --at-most 90 has no unit
2 open => needs a terminal
2 profile repeat '' => write a name
2 profile save F --as /.. => write a name
2 profile save F --name x => there is no option --name. Did you mean --as?
2 print setup --name x => there is no option --name
4 profile save F --store /dev/null => --store
2 log add mug splendid => OUTCOME can't be splendid: did you mean spoiled? Write good,
2 log list --since monday => --since monday is not a date: write it like 2026-01-31
2 job schema moon => can't be moon
3 plan bad.toml => line 1 of bad.toml can't be read: put the value and its unit
3 plan taken.txt => taken.txt is not a job file: in its place write the .toml file of the job
3 plan a.svg => a.svg is not a job file: in its place write the .toml file
4 plan F --to taken.txt => there is already a file taken.txt that may be your own
2 plan F --seconds 0 => --seconds must be a whole number from 1 to 3600 (got 0)
2 plan F --to mug.toml --json --store => --store has no value: write one after it. What it is for: the folder of
2 print setupp F => rotary print has no command "setupp". Did you mean
2 print setup => JOB is missing: after the command write the name of a job file
2 --store x plan => --store has to follow the command: write rotary COMMAND --store
2 log add mug => OUTCOME is missing: after the command write how the run came out
2 print setup F --to card.docx => card.docx can't be written: end its name with
2 print setup F --to card => end the file's name with
2 print setup F --plain --to card.pdf => with --plain the file's name must end in .txt: change
2 print setup F --from taken.txt => --from adds a picture, which plain lines can't show:
4 print setup F --to taken.txt => there is already a file taken.txt that may be your own
4 print setup F --to nowhere/card.pdf => there is no folder nowhere: name a file in a folder
2 print patch F --patch 0 => --patch must be a whole number of 1 or more (got
2 print patch F --patch x => --patch must be a whole number of 1 or more (got
2 print patch F --patch 7 => there is no patch 7: no patch is saved yet. To make one write rotary patch new JOB
2 machine tests F field --to t.pdf => leave out field. To get the drawing of one test, name a folder after
2 print tests F --to tests.docx => tests.docx can't be written: end its name with
2 print seam-test F --tape 0.12 => --tape 0.12 has no unit: write its unit too, in quotes,
4 print seam-test F --to taken.txt => there is already a file taken.txt
2 print template F => --to is missing: add --to and a value. What it is for: one file with a name ending in .pdf
2 print template F --to t.docx => t.docx can't be written: end its name with
2 print template F --to t.pdf --paper both => --paper both writes several files: name a folder after
2 print template F --to t.pdf --bar-short 99 => --bar-short 99 has no unit: write its unit too, in quotes,
2 print template F --to t.pdf --bar-short '5 mm' => --bar-short: a bar of 100 mm that measures 5 mm was not
2 print template F --to t.pdf --reach half => --reach can't be half: write end, artwork or whole
2 print template F --to t.pdf --paper A3 => --paper can't be A3: write A4, Letter or both
2 print picture F sideview --to p.svg => VIEW can't be sideview: did you mean side-view? Write
2 print picture F side-view --to p.gif => p.gif can't be written: end its name with
2 print picture F simulation --to p.svg => the view simulation needs a file that rotary wrote:
2 print picture F unrolled --to p.svg --from a.svg => --from is only for the view simulation:
2 print resume F --done x => done: x names no slices: write for example 1-9, or 10=4 for slice 10 with 4 passes
2 art slyce F => rotary art has no command "slyce". Did you mean "rotary
4 art slice F --to out --art missing.svg => missing.svg: name an SVG or DXF file
2 art slice F --to out --art a.svg => a.svg is neither an SVG nor a DXF drawing: export the
2 art slice F --to out --text '' => --text is empty: write the words to mark, for example
2 art slice F --to out --text ' ' => --text is empty: write the words to mark, for example
2 art slice F --to crest.svg --files --text A => --files and --dxf need a folder: name a folder after --to
2 art slice F --to crest.svg --dxf --text A => --files and --dxf need a folder: name a folder after --to
2 art slice F --to out --marked-width 3 --text A => --marked-width 3 has no unit: write its unit too, in
2 art slice F --to out --marked-width '-1 mm' --text A => --marked-width -1 mm is too small: write more than 0 mm
2 art slice F --to out --overlap '2 kg' --text A => --overlap 2 kg is not a length: write for example "88.9
4 art slice F --to taken.txt --text A => taken.txt is a file name: name a folder to write into, like
2 art dots F --to d => IMAGE is missing: after the command write
4 art dots F missing.png --to d --mark darker => there is no missing.png: name a PNG,
2 art dots F a.svg --to d --mark darker => a.svg is no PNG, JPEG or TIFF picture, whatever
2 art dots F a.svg --to d --mark grey => --mark can't be grey: write lighter or darker
2 art dots F g.png --to d.png --files --mark darker => --files needs a folder for its drawings: name one after --to
4 art names F missing.csv --to n => there is no missing.csv: name the
2 art names F names.csv --to n --column nam => there is no column "nam" in this list: write --column and "name"
2 art names F names.csv --to n --letters 9 => --letters 9 has no unit: write its unit too, in quotes,
2 art names F names.csv --to n --least 300% => --least 300 % is too large: write 100 % or less
2 art names F names.csv --to n --face comic => --face can't be comic: write outline, line-sans,
2 art names F names.csv --to n --headings maybe => --headings can't be maybe: write yes or no
2 art check F => FILE is missing: after the command write
4 art check F missing.svg => there is no missing.svg: name a
4 art check F taken.txt => rotary did not write taken.txt, or somebody changed it:
2 inscribe => JOB is missing: after the command write
2 inscribe brass-nut --text A --around round => --around can't be round: write ring, arc, axis, flats or end
2 inscribe brass-nut --text A --height '50 mm' --least '20 mm' --around ring => accept smaller letters, enter
2 inscribe brass-nut --text A --height '-3 mm' => --height -3 mm is too small: write more than 0 mm
2 inscribe brass-nut --text A --usable-from '8 mm' --usable-to '3 mm' => --usable-to must be above the lower end
2 inscribe brass-nut --text A --band-from '8 mm' --band-to '3 mm' => --usable-to must be above the lower end
2 init => Did you mean "rotary job example"
2 regatta-bottle => Did you mean "rotary open regatta-bottle" or "rotary plan regatta-bottle"?
2 print regatta-bottle => Did you mean "rotary print setup regatta-bottle"?
2 profile log mug => Did you mean "rotary profile history"?
2 profile push => Did you mean "rotary profile export"?
2 patch create F => Did you mean "rotary patch new"?
2 inscribe brass-nut --list names.csv => a list needs a folder for its files: add --to and
2 inscribe brass-nut --list names.csv --numbers 1-5 --to n => --list and --numbers can't be used together: leave one
2 inscribe brass-nut --numbers 5-1 --to n => numbers 5-1 runs backwards: write 1-5
2 inscribe brass-nut --numbers many --to n => numbers: many is not a range: write for example "1-250"
2 inscribe brass-nut --text A --surface-map flat => --surface-map can't be flat: write true-width,
2 inscribe brass-nut --text A --font missing.ttf => --font can't be read here: missing.ttf is no font file. Name a TTF
2 inscribe brass-nut --text A --font taken.txt => --font: taken.txt is not a font with outlines: choose a TTF
2 patch new F --on wall => --on can't be wall: write scrap or item
2 patch new F --patch 1 --cells 9 => the cells of patch 1 are saved already: leave out --cells and --on
2 patch record F => CELL=SEEN is missing: write what you saw in each cell, for example
2 patch record F 1=clean => this job has no patch still to read: print one first
2 patch record F clean => this job has no patch still to read: print one first
2 patch list --window w.svg => a picture needs a job: write rotary patch list JOB
2 patch ignore => write what to ignore: the number of a reading, or --patch
2 patch ignore 3 --patch 1 => write what to ignore: the number of a reading, or --patch
2 patch ignore 3 => there is no reading 3: no reading is saved yet
2 patch ignore --patch 3 => there is no patch 3: to see all patches write
2 depth plan brass-nut --wanted 40 => --wanted: 40 has no unit: write its unit too, in quotes, for
2 depth plan brass-nut --wanted deep => --wanted: deep is not a number with a unit: write a
2 depth record brass-nut => PASSES=DEPTH is missing: write passes and depth in quotes, for
2 depth record brass-nut 10 => 10 is not a depth reading: write how many passes and the depth in quotes
2 depth record brass-nut 10=deep => 10=deep: deep is not a number with a unit: write a
2 depth record brass-nut x=18um => x=18um: x can't be used here: write a whole number
2 depth record brass-nut 10=18um --resolution fine => resolution: fine is not a number with a unit: write a
2 depth ignore 1 => there is no depth reading 1: no depth is saved yet
2 machine shw => rotary machine has no command "shw". Did you mean "rotary
2 machine new => MACHINE is missing: after the command write
2 machine new '' => "" has no letter or digit: write a name such as "boathouse"
2 machine new bench => there is a machine named bench already: choose it, or
2 machine rename nope other => there is no machine "nope": to add a machine write rotary
2 machine rename bench '' => "" has no letter or digit: write a name such as "boathouse"
2 machine record => KIND is missing: after the command write
2 log add F fine => OUTCOME can't be fine: write good, coating-left, engraved,
2 machine record fild axis=x => did you mean "field"?
2 machine record motor-whole ticks=0,1 => motor-whole belongs to a job: add --from and the job
2 machine record field axis=x => drawn is missing: write for example drawn="20.5 mm";
2 machine record program pause => pause has no = in it: write NAME=VALUE, for example pause=yes
2 machine record program paus=yes => paus is no question about your program: write pause,
2 machine record field axis=x 'drawn=140 mm' 'measured=139 mm' --label a=b => leave out --label and --from:
2 machine tests F moon => there is no test "moon": write one of direction,
2 machine level F --base-end '95 mm' --rim-end '96 mm' --apart '0 mm' => the two heights over the bed, the
2 machine changed moon => there is no change named moon: write lens (the lens was
2 profile list --at-least '90 mm' --at-most '80 mm' => --at-least 90 mm is more than --at-most 80 mm: swap the
2 profile note mug caf\udce9 => rotary can't read all signs that you typed: use plain
2 machine new caf\udce9 => rotary can't read all signs that you typed: use plain
2 job example brass-nut --to a.svg => a.svg is the name of a paper or drawing: end the name in .toml
4 job example brass-nut --to taken.txt => there is already a file taken.txt that may be your own
2 calibrate => Did you mean "rotary machine tests"?
2 machine measure => Did you mean "rotary machine record"?
2 print card F => Did you mean "rotary print setup"?
2 focus F => Did you mean "rotary plan"?
2 engrave F => Did you mean "rotary inscribe"?
2 branch => Did you mean "rotary profile copy"?
2 machine changed => WHAT is missing: after the command write
2 machine ignore 3 --machine bench => no reading is saved yet. To save one write rotary machine record
4 machine seam-test F --from missing.toml => there is no missing.toml: name the form
2 profile save F --as '' => "" has no letter or digit: write a name such as "regatta
2 profile save F --follows 9 --as mug => this job has no version 9: in its place write 1
2 profile list --jsn => there is no option --jsn. Did you mean --json?
4 profile find missing.toml => there is no missing.toml: name a job
2 profile show mugg => there is no saved job "mugg": did you mean "mug"?
2 profile show mug --version 9 => this job has no version 9: in its place write 1
2 profile repeat mug --version x => this job has no version x: in its place write 1
2 profile repeat mug --plain --to card.pdf => with --plain the file's name must end in .txt: change
2 profile proven mug --passes 0 --numbers saved => --passes: type how many passes each slice got, because nothing is
2 profile proven mug --power 0 => --power: 0 % can't be set: write the power that cleaned
2 profile proven mug --power '140 %' => --power: 140 % can't be set: write the power that cleaned
2 profile proven mug --power strong => --power: strong is not a power: type it in per cent, like 26
2 profile proven mug --numbers later => --numbers can't be later: write saved or now
4 profile proven mug --file missing.svg => there is no missing.svg: name the
2 profile proven moon => there is no saved job "moon": to see all saved jobs write
2 profile note mug => TEXT is missing: after the command write
2 profile note mug '' => a note has 1 to 2000 letters: write in quotes what you want
2 profile reading mug => a reading needs what you looked at and what you saw
2 profile reading mug --of patch => a reading needs what you looked at and what you saw
2 profile reading mug --ignore 4 => there is no reading 4: no reading is saved yet
2 profile history moon => there is no saved job "moon": to see all saved jobs write
2 profile restore mug 9 => too many words: leave out "9", or put
2 profile rename mug '' => "" has no letter or digit: write a name such as "regatta
2 profile copy mug mug => "mug" is already the name of another saved job: write a
4 profile import missing.zip => there is no missing.zip: name a file
2 profile import taken.txt => taken.txt is not an export of saved jobs, or is damaged: name
2 log add F clean --teach => --passes is missing: write how many passes cleaned a slice
2 resume F --done 0 => --done: there is no slice 0: the sheet numbers the slices
2 job example moon => there is no example "moon": write one of bellied-flask,
2 open F --browser --ask => --browser and --ask can't be used together: leave
4 open --browser --files missing => missing is not a folder: name an existing folder after
2 --completion tcsh => SHELL can't be tcsh: write bash, zsh or fish
2 --versoin => rotary has no command "--versoin". Did you mean "rotary
2 plan F --samples nan => (got nan)
2 plan F --samples '' => (got nothing)
2 plan F --samples ５ => (got ５)
2 plan F --json --plain => --json and --plain can't be used together
2 plan F --json=maybe => --json takes no value: write --json
2 plan F --yes=1 => --yes takes no value: write --yes
2 plan -- --json => there is no job "--json"
2 plan F --to x.pdf => x.pdf is the name of a paper or drawing: end the name in .txt
2 plan F --machine '' => --machine: "" has no letter or digit: write a name such as
2 plan F --machine 船 => there is no machine "船": to add a machine
4 plan 船.toml => there is no 船.toml
4 plan F --suggestions --to taken.txt => there is already a file taken.txt
4 plan F --error-budget --to no/x.txt => there is no folder no
2 print setup F --to .pdf => end the file's name with
2 print patch F --patch 3 --to p.html => --patch: there is no patch 3
2 print seam-test F --tape -1mm => --tape must be a thickness from 0.01 mm to 2 mm (got -1mm)
2 machine seam-test F --tape 5m => --tape must be a thickness from 0.01 mm to 2 mm (got 5m)
2 print resume F --done 9-1 => --done: 9-1 names no slices
2 print resume F --rim-right '1 km' => 1 km is far too large for a length
2 print picture F top --to x.svg => VIEW can't be top
3 art slice F --to s => nothing to mark: name a drawing or words, like --art crest.svg or --text
2 art slice F --text A --font moon --to s => --font is only for drawings: name a drawing after
2 art slice F --text A --unit mm --line-width 1mm --to s => --unit or --line-width is only for drawings: name a
2 art slice F --art a.svg --unit parsec --to s => --unit: parsec can't be used here
2 art slice F --art a.svg --line-width 0 --to s => --line-width: 0 has no unit
2 art slice F --text 船 --to s => --text: the font lacks "船"
2 art slice F --text A --to s --overlap '99 mm' => --overlap 99 mm is too large: write 2 mm or less
4 art dots F a.svg --to d.jpg => d.jpg is a file name: name a folder to write into, like
2 art names F names.csv --to n --least '200 %' => --least 200 % is too large
4 art names F . --to n => is a folder, so it can't be read: name the CSV file
2 inscribe heron-cup => --text has no words yet
2 inscribe F --text A --depth '40 um' => --depth is for bare metal
2 inscribe brass-nut --text A --around flats => --around: the item is round
2 inscribe brass-nut --text A --around end --bore '99 mm' => --bore leaves no room on an end face
2 inscribe brass-nut --text A --italic=perhaps => --italic takes no value
2 inscribe brass-nut --numbers 9-1 --to n => --numbers 9-1 runs backwards: write 1-9
2 patch new F --patch 5 => there is no patch 5: no patch is saved yet
2 patch record F --gap 40 => --gap: 40 is too large: write 12 or less
2 patch record F --gap 0 => --gap: no gap closed, so the ladder was too coarse: mark tape-gap-ladder-finer.svg
2 patch record F 1=clean --gap 3 => --gap is only for a gap ladder: leave out cells
2 patch record oar-ferrule --gap x => --gap must be a whole number from 0 to 99
2 depth plan brass-nut --wanted '-3 um' => --wanted: -3 um is too small
2 depth plan brass-nut --readings a.svg => a.svg, line 1 is not a reading: write
2 depth record brass-nut '5 = 5' => 5 = 5: 5 has no unit
2 depth record brass-nut 10=18um --resolution 0um => --resolution: 0 um is too small
2 depth ignore 7 => there is no depth reading 7: no depth is saved yet
4 machine seam-test F --from . => is a folder, so it can't be read: name the form that you filled
2 profile proven mug --passes 3 --power '200 %' => --power: 200 % can't be set
2 profile restore moon => nothing in the bin is named "moon": to see what is in
2 profile --store s list => --store has to follow the command: write rotary profile COMMAND --store
2 profile --moon list => there is no option --moon. Help
2 log list --since '' => --since is empty: write a day, like 2026-01-31
2 plan '' => JOB is empty: name a job file
2 print setup F --to= => --to needs the name of a file or folder
2 art slice F --text A --to '' => --to needs the name of a file or folder
2 art slice F --art '' --to s => --art needs the name of a file or folder
2 machine seam-test F --from ' ' => --from needs the name of a file or folder
4 machine list --machines taken.txt => taken.txt is not a folder: name a folder after --machines
4 plan F --machines taken.txt => taken.txt is not a folder: name a folder after --machines
4 depth list --store taken.txt => taken.txt is not a folder: name a folder after --store
2 machine show '' => "" has no letter or digit: write a name such as "boathouse"
2 machine rename '' x => "" has no letter or digit: write a name such as "boathouse"
2 machine changed lens --machine '///' => "///" has no letter or digit: write a name such as "boathouse"
2 print setup F --to x.pdf --paper '' => --paper can't be nothing: write A4 or Letter
2 resume F --rim-right '500 mm' => a cross is more than 30 degrees from the top
2 log list '' => "" has no letter or digit: write a name such as "regatta
2 log add mug '' => OUTCOME can't be nothing: write good, coating-left,
2 job as-measured F --to x.pdf => x.pdf is the name of a paper or drawing: end the name in .toml
2 -v => Did you mean "rotary --version"?
2 PLAN F => Did you mean "rotary plan"?
2 profile --version => --version is used without a command: write rotary --version
2 profile history mug --version 1 => --version is used without a command
2 plan F --version => --version is used without a command
2 plan F --art a.svg => there is no option --art. Help
2 art flat F --files --to f => there is no option --files. Help
2 open --web => Did you mean --browser?
4 plan MISSPELLED.toml => did you mean "misspelt.toml"?
2 plan misspeled => did you mean "misspelt.toml"?
4 plan regata-bottle.toml => did you mean "regatta-bottle"?
2 plan -dash.toml => -dash.toml begins with a dash: write ./-dash.toml
2 plan -- -dash.toml => -dash.toml begins with a dash: write ./-dash.toml
2 plan F --to - => --to can't be "-": write a name (only JOB can be "-")
2 art dots F - --to d => "-" can't stand for this file: write the file's name (only JOB can be "-")
2 profile save F --as -x => -x begins with a dash: write --as=-x
2 plan F --seconds 5 => --seconds is only for --suggestions
2 job new mine.toml => Did you mean "rotary job example"?
2 log new => Did you mean "rotary log add"?
2 machine delete bench => Did you mean "rotary machine ignore"?
2 machine edit => Did you mean "rotary machine record"?
2 art verify a.svg => Did you mean "rotary art check"?
2 art png g.png => Did you mean "rotary art dots"?
2 print pdf F => Did you mean "rotary print setup"?
2 depth new F => Did you mean "rotary depth record"?
2 coatings => Did you mean "rotary job schema"?
2 time F => Did you mean "rotary plan"?
4 art slice F --art a.svg --to a.pdf => like 'files', or a file that ends with .svg or .dxf
4 art check F b.svg => rotary did not write b.svg, or somebody changed it
2 log add mug good --unlogged => --unlogged needs --teach: write both
2 log add mug seams-show --teach => seams-show says nothing about a coating
2 log add mug good --teach => --passes is missing: write how many
2 machine show broken => broken.toml, name: 3 can't be used here
2 machine tests F --to a.svg => a.svg can't be written: end its name with
2 machine level F --base-end 95mm --rim-end 500mm --apart 10mm => rotary: the heights differ by more than the distance
2 machine record motor-whole ticks=0,x --from F => ticks 2: x can't be used here: write a whole number such as 16
2 art check F b.svg --to f.pdf => f.pdf can't be written: end its name with .svg
2 patch new F --to p.pdf => p.pdf can't be written: end its name with .svg
2 patch list F --window w.png => w.png can't be written: end its name with .svg
2 print resume F --done 10=4,10=5 => --done: slice 10 is there twice
2 inscribe brass-nut --text '{name}' => {name} in the words needs a list: write rotary inscribe with --list or
2 inscribe brass-nut --text 'OAR {date}' --to n => {date} in the words needs a list
2 art slice dated.toml --to n => {date} in the words needs a list
2 inscribe brass-nut --list names.csv --text CREW --to n => --text has no {name}, so names would replace it
2 inscribe brass-nut --text A --digits 3 => --column, --headings, --digits and --each are only for a list
2 art names F heads.csv --to n => "Ann" in the first line may be a heading or a name
3 resume F --to r => nothing to mark: name a drawing or words
2 open F --browser --address '' => --address is empty: write this computer's own
2 open F --browser --called 'two words' => --called two words is not a network name
"""
"""The exit code, the words (F for the first example), and what the sentence says."""

MORE = [
    (2, ("plan", FIRST, "--samples", "9" * 5000), "a whole number from 0"),
    (2, ("plan", "a\0b"), "there is no job"),
    (2, ("art", "slice", FIRST, "--text", "x" * 6000, "--to", "s"), "--text is longer than 5000 characters: write a"),
    (4, ("plan", "a\0b.toml"), "can't be read"),
    (2, ("plan", "\udcff"), "there is no job"),
    (2, ("plan", FIRST, "--to", "a\0b"), "--to needs the name of a file or folder"),
]


DATED = examples()["brass-nut"].read_text("utf-8").replace("HERON CLUB", "{date}")
FILES = {
    "taken.txt": "mine", "bad.toml": "what = is", "a.svg": "<svg", "names.csv": "name\nAnn", "heads.csv": "Ann\nBob",
    "misspelt.toml": "", "bottle.toml": "", "-dash.toml": "", "dated.toml": DATED,
    "b.svg": '<svg width="10mm" height="4mm" viewBox="0 0 10000 4000"></svg>',
}  # fmt: skip
"""What lies in the folder, by its name."""


def wrong() -> Iterator[tuple[int, tuple[str, ...], str]]:
    """Every line of the table."""
    for line in WRONG.strip().splitlines():
        typed, _, says = line.partition(" => ")
        code, *words = shlex.split(typed)
        yield int(code), tuple(FIRST if word == "F" else word for word in words), says
    yield from MORE


def files(folder: Path) -> dict[Path, bytes]:
    """Every file and what it holds, but for what lists and libraries remember and what only guards a writer's turn."""
    every = (path for path in folder.rglob("*") if path.is_file() and path.name[0] != ".")
    return {path: path.read_bytes() for path in every if path.relative_to(folder).parts[0] != "cache"}


def test_what_goes_wrong_has_its_exit_code_and_a_sentence(
    rotary: Callable[..., tuple[int, str, str]], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit codes tell kinds of failure, the sentence tells what to do, and files stay as they were."""
    for name, text in FILES.items():
        (tmp_path / name).write_text(f"{text}\n", "utf-8")
    assert main(["profile", "save", FIRST, "--as", "mug", "--samples", "50"]) == 0
    assert main(["machine", "new", "bench"]) == 0
    machine_path("broken", machine_folder()).write_text("name = 3\n", "utf-8")
    capsys.readouterr()
    before, bad, count = files(tmp_path), [], 0
    for code, words, says in wrong():
        found, out, err = rotary(*words)
        count += 1
        if (found, out, err.count("\n")) != (code, "", 1) or says not in err or files(tmp_path) != before:
            bad.append((words, found, out[:80], err))
    assert not bad
    assert count >= 220


def test_an_import_of_which_nothing_can_be_used_is_not_done(rotary: Callable[..., tuple[int, str, str]]) -> None:
    """Each entry that is left out is listed, nothing is stored, and the exit code is that of a wrong file."""
    with zipfile.ZipFile("left.zip", "w") as archive:
        archive.writestr("readme.txt", "hello")
    for more in ((), ("--dry-run",)):
        code, out, err = rotary("profile", "import", "left.zip", *more)
        assert (code, out.count("left out  "), err.count("\n")) == (2, 1, 1)
        assert "holds no saved job that rotary can import" in err
    assert rotary("profile", "list", "--json")[1].strip() == "[]"
