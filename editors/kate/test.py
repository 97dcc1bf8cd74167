import os, subprocess, sys, time, pyatspi
def tree(a, d=0, out=None, maxd=14):
    try:
        n=a.name; r=a.getRoleName()
        try: t=a.queryText().getText(0,-1)[:60]
        except Exception: t=''
        if n or t: out.write('%s%s | %s | %s\n'%(' '*d,r,n[:90],t.replace('\n','/')))
        if d<maxd:
            for c in a: 
                if c is not None: tree(c,d+1,out,maxd)
    except Exception as e: out.write('%s! %s\n'%(' '*d,e))
p=subprocess.Popen(['kate', os.path.basename(os.environ['FOURFOLD_DEMO'])],stderr=subprocess.DEVNULL)
time.sleep(15)
desk=pyatspi.Registry.getDesktop(0)
for i in range(3):
    with open('/tmp/ed/kate%d.txt'%i,'w') as f:
        for a in desk: tree(a,0,f)
    subprocess.run(['import','-silent','-window','root','/tmp/ed/kate%d.png'%i])
    if i==0: subprocess.run(['xdotool','key','Return'])
    if i==1: subprocess.run(['xdotool','key','ctrl+g']); time.sleep(1); subprocess.run(['xdotool','type','15']); subprocess.run(['xdotool','key','Return']); subprocess.run(['xdotool','key','Home']); subprocess.run(['xdotool','type','--delay','80','[r:é ♯ 🎵]'])
    time.sleep(8)
p.terminate()
