"""The demo's boards: invented layouts, entered through the same tables that anybody can import."""

from shop.boards.board_actions import measure_board
from shop.boards.models import BoardRevision
from shop.boards.table_actions import import_fasteners, import_placements
from shop.core.actor import Actor
from shop.floor.demo.board_photo import lay_photo_under

HEAD = "designator,value,rating,kind,mount,x,y,width,depth,height,rotation,positive,side,fit,variants,note\n"
# A board of 160 × 110 mm: fourteen round cans, a regulator on a heat sink along the rear edge, two positions that only
# the 50 Hz variant has, one that the maker leaves empty.
LANTERN = """\
C1,1000 µF,16 V,electrolytic,through,22,92,12.5,12.5,20,0,left,top,fitted,,
C2,470 µF,16 V,electrolytic,through,40,94,10,10,16,0,left,top,fitted,,
C5,100 µF,10 V,electrolytic,through,58,80,6.3,6.3,11,90,down,top,fitted,,
C8,100 µF,10 V,electrolytic,through,42,62,6.3,6.3,11,90,down,top,fitted,,
C11,47 µF,16 V,electrolytic,through,76,84,5,5,11,0,left,top,fitted,,
C12,47 µF,16 V,electrolytic,through,88,84,5,5,11,180,right,top,fitted,,The white stripe looks at the slot
C15,10 µF,25 V,electrolytic,through,102,78,5,5,11,270,up,top,fitted,,
C18,10 µF,25 V,electrolytic,through,112,78,5,5,11,270,up,top,fitted,,
C23,220 µF,10 V,electrolytic,through,130,62,8,8,11.5,0,left,top,fitted,,
C24,220 µF,10 V,electrolytic,through,144,62,8,8,11.5,180,right,top,fitted,,
C31,1 µF,50 V,electrolytic,through,126,34,4,4,7,90,down,top,fitted,,
C32,1 µF,50 V,electrolytic,through,138,34,4,4,7,90,down,top,fitted,,
C40,22 µF,16 V,electrolytic,through,34,22,5,5,7,0,left,top,fitted,,
C41,4.7 µF,35 V,electrolytic,through,46,22,4,4,7,0,left,top,fitted,,
C61,10 µF,25 V,electrolytic,through,60,22,5,5,7,0,left,top,variant,50 Hz,
C62,10 µF,25 V,electrolytic,through,72,22,5,5,7,0,left,top,variant,50 Hz,
C70,100 µF,10 V,electrolytic,through,86,22,6.3,6.3,11,0,,top,empty,,
U8,5 V regulator,35 V,regulator,through,14,66,10,4.5,19,90,,top,fitted,,"Screwed to the heat sink, middle leg is ground"
U1,processor,,ic,through,96,50,52,15,5,0,,top,fitted,,
U2,picture,,ic,through,38,44,40,15,5,0,,top,fitted,,
U5,sound,,ic,through,112,16,20,8,4,0,,top,fitted,,
Y1,21.3 MHz,,crystal,through,66,40,11,5,4,0,,top,fitted,,
D1,3 A,,diode,through,24,78,9,5,5,0,right,top,fitted,,
F1,1.5 A,,fuse,through,10,90,8,3,3,90,,top,fitted,,
J1,supply,,connector,through,8,104,12,10,11,0,,top,fitted,,
J2,picture and sound,,connector,through,92,104,24,10,12,0,,top,fitted,,
J4,cartridge,,connector,through,80,66,62,12,15,0,,top,fitted,,
R3,75 Ω,,resistor,through,104,96,6.5,2.3,2.5,0,,top,fitted,,
R4,75 Ω,,resistor,through,104,92,6.5,2.3,2.5,0,,top,fitted,,
R11,10 kΩ,,resistor,through,30,32,6.5,2.3,2.5,0,,top,fitted,,
R12,4.7 kΩ,,resistor,through,42,32,6.5,2.3,2.5,0,,top,fitted,,
C3,100 nF,50 V,ceramic,through,60,50,5,2.5,5,0,,top,fitted,,
C4,100 nF,50 V,ceramic,through,116,58,5,2.5,5,0,,top,fitted,,
"""
LANTERN_CASE = """\
label,where,x,y,drive,bit,thread,length,count,order,warning
A,rear edge,8,142,cross,PH1,self-tapping 3,12,2,1,
A,rear edge,192,142,,,,,,,
B,front edge,8,8,cross,PH1,self-tapping 3,12,2,2,
B,front edge,192,8,,,,,,,
C,under the label,100,76,cross,PH1,self-tapping 3,8,1,3,the cartridge slot behind it
D,shield inside,40,100,cross,PH0,M3,6,4,4,the traces under the shield
D,shield inside,160,100,,,,,,,
D,shield inside,40,40,,,,,,,
D,shield inside,160,40,,,,,,,
"""
# A handheld of 92 × 60 mm with surface-mount cans on its lower side.
FIREFLY = """\
C3,47 µF,6.3 V,electrolytic,surface,14,46,5.3,5.3,5.8,0,left,top,fitted,,
C7,100 µF,6.3 V,electrolytic,surface,26,46,6.6,6.6,5.8,90,down,top,fitted,,
C9,10 µF,16 V,electrolytic,surface,76,44,4.3,4.3,5.8,0,left,top,fitted,,
C14,22 µF,6.3 V,electrolytic,surface,74,16,4.3,4.3,5.8,180,right,top,fitted,,
C21,100 µF,6.3 V,electrolytic,surface,20,14,6.6,6.6,5.8,270,up,bottom,fitted,,
BT1,3 V,,battery,surface,46,14,20,20,4,0,up,top,fitted,,"Soldered tabs: never solder to the cell itself"
U1,processor,,ic,surface,46,38,14,14,2,0,,top,fitted,,
U2,memory,,ic,surface,64,34,8,12,2,0,,top,fitted,,
J1,slot,,connector,through,46,56,60,6,8,0,,top,fitted,,
SW1,power,,switch,through,6,30,4,10,5,0,,top,fitted,,
"""
FIREFLY_CASE = """\
label,where,x,y,drive,bit,thread,length,count,order,warning
A,back,10,80,three-lobed,1.5 mm,self-tapping 2,6,4,1,
A,back,70,80,,,,,,,
A,back,10,20,,,,,,,
A,back,70,20,,,,,,,
B,under the battery lid,40,12,cross,PH00,self-tapping 2,4,1,2,the speaker behind it
"""
# A mains unit of 210 × 140 mm: what is on the primary side is for people who may work there.
VESPER = """\
C1,220 µF,200 V,electrolytic,through,28,110,22,22,30,0,left,top,fitted,,Primary side: it holds its charge
C5,1000 µF,16 V,electrolytic,through,92,108,10,10,20,90,down,top,fitted,,
C6,1000 µF,16 V,electrolytic,through,106,108,10,10,20,90,down,top,fitted,,
C9,470 µF,10 V,electrolytic,through,124,104,10,10,12.5,0,left,top,fitted,,
C10,470 µF,10 V,electrolytic,through,140,104,10,10,12.5,0,left,top,fitted,,
C12,100 µF,25 V,electrolytic,through,96,74,6.3,6.3,11,0,left,top,fitted,,
C15,47 µF,50 V,electrolytic,through,116,70,6.3,6.3,11,180,right,top,fitted,,
C20,10 µF,50 V,electrolytic,through,150,62,5,5,11,0,left,top,fitted,,
C21,10 µF,50 V,electrolytic,through,164,62,5,5,11,0,left,top,fitted,,
U3,5 V regulator,35 V,regulator,through,184,100,10,4.5,19,0,,top,fitted,,"On the heat sink at the right"
T1,transformer,,other,through,60,104,30,26,28,0,,top,fitted,,
F1,1 A slow,,fuse,through,14,132,20,6,8,0,,top,fitted,,Primary side
U1,processor,,ic,through,110,36,52,15,5,0,,top,fitted,,
J1,cartridge,,connector,through,110,14,70,10,14,0,,top,fitted,,
"""
VESPER_CASE = """\
label,where,x,y,drive,bit,thread,length,count,order,warning
A,four corners,10,172,cross,PH2,self-tapping 4,16,4,1,
A,four corners,250,172,,,,,,,
A,four corners,10,8,,,,,,,
A,four corners,250,8,,,,,,,
B,power board,30,130,cross,PH1,M3,6,4,2,the insulation under the power board
B,power board,110,130,,,,,,,
B,power board,30,90,,,,,,,
B,power board,110,90,,,,,,,
"""


def lay_out_boards(actor: Actor) -> None:
    """Enter the demo's boards: sizes, placements, and the fasteners of their cases."""
    older = LANTERN.replace("C2,470 µF,16 V", "C2,1000 µF,16 V").replace("C70,100 µF,10 V", "C70,47 µF,10 V")
    boards: tuple[tuple[str, tuple[float, float], tuple[float, float], str, str, list[str]], ...] = (
        ("QL-B1", (160.0, 110.0), (200.0, 150.0), older, LANTERN_CASE, ["50 Hz", "60 Hz"]),
        ("QL-B2", (160.0, 110.0), (200.0, 150.0), LANTERN, LANTERN_CASE, ["50 Hz", "60 Hz"]),
        ("FF-2", (92.0, 60.0), (80.0, 92.0), FIREFLY, FIREFLY_CASE, []),
        ("TV-041", (210.0, 140.0), (260.0, 180.0), VESPER, VESPER_CASE, []),
    )
    for marking, board_mm, case_mm, placements, fasteners, variants in boards:
        revision_id = BoardRevision.objects.get(marking=marking).id
        measure_board(actor=actor, revision_id=revision_id, board_mm=board_mm, case_mm=case_mm, variants=variants)
        import_placements(actor=actor, revision_id=revision_id, text=HEAD + placements, dry_run=False)
        import_fasteners(actor=actor, revision_id=revision_id, text=fasteners, dry_run=False)
        if marking == "QL-B2":
            lay_photo_under(actor, revision_id)
